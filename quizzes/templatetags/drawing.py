"""Drawn dogs on pages that know nothing of how they are drawn."""

from django import template
from django.core.cache import caches
from django.urls import reverse

from quizzes import plates
from quizzes.drawing.sketch import Sketch
from quizzes.kinds.placing.content import ClassContent
from quizzes.models import Drawing, Revision
from quizzes.practice.showing import names_in_words

register = template.Library()


@register.simple_tag
def kept_picture(drawing: Drawing) -> dict:
    """Addresses and alternative text of a drawing that a club keeps, and the query of its workbench."""
    sketch = Sketch.of_document(drawing.document)
    address = reverse("quizzes:drawing", args=[drawing.pk])
    return {
        "light": f"{address}?theme=light",
        "dark": f"{address}?theme=dark",
        "alt": f"{drawing.name}. {plates.describe(sketch.dog, drawing.view)}",
        "query": sketch.query,
    }


@register.simple_tag
def drawings_beside(module_id: int, priority: str) -> list[Drawing]:
    """The drawings that mentors have put beside a priority."""
    return list(Drawing.objects.beside(module_id, priority))


@register.simple_tag
def left_to_words(revision_id: int) -> list[str]:
    """What no plate of a drawn class shows, by its module's priorities; empty where it is not drawn.

    Asked of revisions in force, which never change, so that the answer is kept.
    """
    key = f"left-to-words-{revision_id}"
    return caches["rendered"].get_or_set(key, lambda: _left_to_words(revision_id))


def _left_to_words(revision_id: int) -> list[str]:
    drawn = Revision.objects.filter(content__breed__in=list(plates.BREEDS))
    wanted = drawn.select_related("module_revision").defer("key")
    revision = wanted.filter(pk=revision_id).first()
    if revision is None:
        return []
    rows = revision.module_revision.priorities.prefetch_related("phrases", "steps")
    return names_in_words(ClassContent.read(revision.content), rows)
