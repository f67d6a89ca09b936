"""Reading a study module."""

import json

from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import capfirst
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_POST, require_safe

from trainer import offline
from trainer.clubs.models import Club
from trainer.navigation import navigation
from trainer.study import places, reading
from trainer.study.forms import ReadForm
from trainer.study.page_reads import PageRead

Part = PageRead.Part

PACES = (10, 20, 30, 45, 60)
"""Seconds for a step, to choose from."""

PREVIEW = "preview"
"""The namespace under which a mentor reads a draft; links inside it stay inside it."""


def or_404(found):
    """What was found; 404 if it is None."""
    if found is None:
        raise Http404
    return found


def document_asked_for(request, pk):
    """The module as it is in force; under the preview's addresses its draft, as a trainee would read it."""
    if request.resolver_match.namespace == PREVIEW:
        return or_404(reading.draft(request.user, pk))
    return or_404(reading.document(request.user, pk))


def page(request, name, document, key=None, *, part="", slug="", **more):
    """A page of a document: its head, around a body that is the same for every reader.

    part, slug : which page of the module is read, if it is one whose reading is remembered
    more : for the templates; what only the body shows may be a function, asked when it is rendered
    """
    is_preview = not document.kept
    read = None if is_preview else places.pages_of(document).get((part, slug))
    answers = {}
    if read and not offline.is_ahead(request):
        pk = document.module.pk
        answers = places.note_opened(request.user, pk, read, now=timezone.now())
    context = {
        "is_preview": is_preview,
        "revision": document.revision,
        "module": document.module,
        "glossary": document.glossary,
        **more,
    }
    body = document.body(f"study/_{name}.html", key, context, request)
    terms = document.glossary.used_in(body)
    if "progress" in more:
        body = more["progress"].marked(body)
    shown = {
        **context,
        "body": body,
        "read": read,
        "answers": json.dumps(answers) if answers else "",
        "terms": terms,
    }
    response = render(request, f"study/{name}.html", shown)
    return response if is_preview else offline.keep(response, request.user)


@require_safe
def module_list(request):
    """Modules of the person's clubs; where there is none, what could be done about it."""
    revisions = list(reading.revisions_for_list(request.user))
    context = {"revisions": revisions}
    if not revisions:
        context["teaches"] = Club.objects.taught_by(request.user).exists()
        context["belongs"] = Club.objects.joined_by(request.user).exists()
    response = render(request, "study/module_list.html", context)
    return offline.keep(response, request.user)


@require_safe
@gzip_page
def module_detail(request, pk):
    document = document_asked_for(request, pk)
    progress = places.progress(request.user, document)
    return page(
        request,
        "module_detail",
        document,
        progress=progress,
        weights=document.weights,
        steps=len(document.steps),
        faults=len(document.faults),
        lessons=document.lessons,
        terms_told=len(document.glossary.terms),
    )


def step_row(module_id, step) -> dict:
    """A step of the examination as a row with its number in the margin."""
    return {
        "margin": step.number,
        "title": step.name,
        "url": reverse("study:step-detail", args=[module_id, step.number]),
        "note": capfirst(step.get_sense_display()),
    }


@require_safe
def priority_detail(request, pk, slug):
    document = document_asked_for(request, pk)
    position = or_404(reading.position(document.priorities, slug=slug))
    return page(
        request,
        "priority_detail",
        document,
        slug,
        part=Part.PRIORITY,
        slug=slug,
        position=position,
        priority=position.row,
        levels=lambda: reading.levels_in_words(position.row.phrases.all()),
        steps=lambda: [step_row(pk, step) for step in position.row.steps.all()],
        faults=position.row.faults.all,
    )


@require_safe
@gzip_page
def examination(request, pk):
    document = document_asked_for(request, pk)
    part = Part.EXAMINATION
    return page(request, "examination", document, part=part, steps=document.steps)


@require_safe
@gzip_page
def rehearsal(request, pk):
    """The examination on a timer, in large type, for hands that are on a dog."""
    document = document_asked_for(request, pk)
    return page(
        request,
        "rehearsal",
        document,
        part=Part.REHEARSAL,
        steps=document.steps,
        paces=PACES,
    )


@require_safe
def step_detail(request, pk, number):
    document = document_asked_for(request, pk)
    position = or_404(reading.position(document.steps, number=number))
    return page(
        request,
        "step_detail",
        document,
        number,
        part=Part.STEP,
        slug=str(number),
        position=position,
        step=position.row,
        steps=document.steps,
    )


@require_safe
@gzip_page
def lesson_detail(request, pk, slug):
    """A lesson as its mentor built it."""
    document = document_asked_for(request, pk)
    position = or_404(reading.position(document.lessons, slug=slug))
    # Drawn dogs come in the look that the reader chose.
    theme = navigation(request)["theme"]
    return page(
        request,
        "lesson_detail",
        document,
        (slug, theme),
        part=Part.LESSON,
        slug=slug,
        position=position,
        lesson=position.row,
        sections=lambda: reading.sections_of(document, position.row),
        theme=theme,
        steps=len(document.steps),
    )


@require_safe
@gzip_page
def fault_list(request, pk):
    document = document_asked_for(request, pk)
    groups = document.faults_by_severity
    return page(request, "fault_list", document, part=Part.FAULTS, groups=groups)


@require_safe
@gzip_page
def term_list(request, pk):
    """The terms of the module with what they mean, in the order of the alphabet."""
    document = document_asked_for(request, pk)
    listed = sorted(document.glossary.terms, key=lambda term: term.name.lower())
    return page(request, "term_list", document, part=Part.TERMS, listed=listed)


@require_safe
def module_pages(request, pk):
    """The addresses of every page of the module, for a device that takes it along."""
    document = document_asked_for(request, pk)
    pages = places.pages_of(document).values()
    roofs = [reverse("study:module-list"), document.module.get_absolute_url()]
    return JsonResponse({"pages": [*roofs, *(page.address for page in pages)]})


@require_POST
def page_read(request, pk):
    """What a page tells of a visit to it: where its reader is, and for how long it was read."""
    document = or_404(reading.document(request.user, pk))
    form = ReadForm(request.POST)
    if not form.is_valid():
        return HttpResponse(status=422)
    told = form.cleaned_data
    read = or_404(places.pages_of(document).get((told["part"], told["slug"])))
    places.note_read(request.user, document, read, form.report, now=timezone.now())
    return HttpResponse(status=204)
