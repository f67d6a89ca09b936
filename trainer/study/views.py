"""Reading a study module."""

from django.http import Http404
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from trainer.clubs.models import Club
from trainer.study import reading
from trainer.study.models import Module, ModuleRevision


def revision_in_force(user, module_id):
    """The module's revision in force, if the person may read it; 404 otherwise."""
    readable = ModuleRevision.objects.visible_to(user).in_force()
    return get_object_or_404(
        readable.select_related("module__breed", "module__club", "author"),
        module=module_id,
    )


def position_or_404(rows, **wanted):
    """The row asked for with its neighbours; 404 if there is none."""
    found = reading.position(rows, **wanted)
    if found is None:
        raise Http404
    return found


@require_safe
def module_list(request):
    """Modules of the person's clubs; where there is none, what could be done about it."""
    modules = list(Module.objects.visible_to(request.user).for_list())
    context = {"modules": modules}
    if not modules:
        context["teaches"] = Club.objects.taught_by(request.user).exists()
        context["belongs"] = Club.objects.joined_by(request.user).exists()
    return render(request, "study/module_list.html", context)


@require_safe
def module_detail(request, pk):
    revision = revision_in_force(request.user, pk)
    context = {
        "revision": revision,
        "module": revision.module,
        "weights": reading.weigh(list(revision.priorities.all())),
        "steps": revision.steps.count(),
        "faults": revision.faults.count(),
    }
    return render(request, "study/module_detail.html", context)


@require_safe
def priority_detail(request, pk, slug):
    revision = revision_in_force(request.user, pk)
    position = position_or_404(list(revision.priorities.all()), slug=slug)
    context = {
        "revision": revision,
        "module": revision.module,
        "position": position,
        "priority": position.row,
        "levels": reading.levels_in_words(position.row.phrases.all()),
        "steps": position.row.steps.all(),
        "faults": position.row.faults.all(),
    }
    return render(request, "study/priority_detail.html", context)


@require_safe
def examination(request, pk):
    revision = revision_in_force(request.user, pk)
    steps = list(revision.steps.select_related("priority"))
    context = {"revision": revision, "module": revision.module, "steps": steps}
    return render(request, "study/examination.html", context)


@require_safe
def step_detail(request, pk, number):
    revision = revision_in_force(request.user, pk)
    steps = list(revision.steps.select_related("priority"))
    position = position_or_404(steps, number=number)
    context = {
        "revision": revision,
        "module": revision.module,
        "position": position,
        "step": position.row,
        "steps": steps,
    }
    return render(request, "study/step_detail.html", context)


@require_safe
def fault_list(request, pk):
    revision = revision_in_force(request.user, pk)
    faults = revision.faults.select_related("priority")
    context = {
        "revision": revision,
        "module": revision.module,
        "groups": reading.by_severity(faults),
    }
    return render(request, "study/fault_list.html", context)
