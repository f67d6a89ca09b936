"""Study modules in a test's club, taken in as a bundle's are."""

from django.db import transaction
from django.utils import timezone

from quizzes.bundles import checking, importing
from quizzes.demo import read


@transaction.atomic
def import_module(club, document, *, author, now):
    """A module document as the club's next revision in force."""
    bundle = checking.held(checking.alone(document, club), {})
    report = importing.take(bundle, club=club, by=author, now=now, agreed=False)
    importing.publish(report, now=now)
    return report.revision


def drawn_module(club, author):
    """A module of a breed that can be drawn, in force."""
    document = read("module.json")
    return import_module(club, document, author=author, now=timezone.now()).module
