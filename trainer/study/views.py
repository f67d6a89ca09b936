"""Reading a study module."""

from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from trainer.study.models import Module, ModuleRevision


def revision_in_force(user, module_id):
    """The module's revision in force, if the person may read it; 404 otherwise."""
    readable = ModuleRevision.objects.visible_to(user).in_force()
    return get_object_or_404(
        readable.select_related("module__breed", "module__club", "author"),
        module=module_id,
    )


@require_safe
def module_list(request):
    modules = Module.objects.visible_to(request.user).for_list()
    return render(request, "study/module_list.html", {"modules": modules})


@require_safe
def module_detail(request, pk):
    revision = revision_in_force(request.user, pk)
    context = {
        "revision": revision,
        "module": revision.module,
        "priorities": revision.priorities.all(),
        "steps": revision.steps.count(),
    }
    return render(request, "study/module_detail.html", context)


@require_safe
def priority_detail(request, pk, slug):
    revision = revision_in_force(request.user, pk)
    priorities = list(revision.priorities.all())
    priority = get_object_or_404(revision.priorities.for_page(), slug=slug)
    at = priorities.index(priority)
    context = {
        "revision": revision,
        "module": revision.module,
        "priority": priority,
        "priorities": priorities,
        "before": priorities[at - 1] if at else None,
        "after": priorities[at + 1] if at + 1 < len(priorities) else None,
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
    step = get_object_or_404(revision.steps.select_related("priority"), number=number)
    names = list(revision.steps.values_list("number", "name"))
    context = {
        "revision": revision,
        "module": revision.module,
        "step": step,
        "names": names,
        "before": next((n for n in reversed(names) if n[0] < step.number), None),
        "after": next((n for n in names if n[0] > step.number), None),
    }
    return render(request, "study/step_detail.html", context)


@require_safe
def fault_list(request, pk):
    revision = revision_in_force(request.user, pk)
    faults = revision.faults.select_related("priority")
    context = {"revision": revision, "module": revision.module, "faults": faults}
    return render(request, "study/fault_list.html", context)
