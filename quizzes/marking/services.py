"""What happens to marks: written, finished, marked a second time, agreed, handed back."""

from __future__ import annotations

import logging
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.core.mail import send_mail
from django.db import transaction
from django.db.models import F
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.translation import gettext as _

from quizzes.marking.standing import Part, Standing, standing
from quizzes.models import Attempt, Grade, Mark, Revision

log = logging.getLogger(__name__)
State = Mark.State


class ChangedElsewhere(ValidationError):
    """The mark was saved from another window, or by the other marker, since this one read it."""


class NotNow(ValidationError):
    """What was asked for can't be done to these marks any more, or not by this person."""


@dataclass(frozen=True)
class Entry:
    """What a marker wrote: points and comments in the order of the rubric's rows."""

    points: tuple[int | None, ...]
    comments: tuple[str, ...]
    overall: str = ""

    @classmethod
    def of(cls, mark: Mark, rows: int) -> Entry:
        """What a mark holds, for so many rows; nothing yet for a new one."""
        points = (*mark.points, *(None,) * rows)[:rows]
        comments = (*mark.comments, *("",) * rows)[:rows]
        return cls(points, comments, mark.overall)

    @property
    def is_complete(self) -> bool:
        return None not in self.points


def _locked(attempt, by) -> Standing:
    """Where the marking stands, with the attempt locked until the transaction ends."""
    fresh = (
        Attempt.objects.select_for_update(of=("self",))
        .select_related("revision__exercise", "trainee")
        .get(pk=attempt.pk)
    )
    return standing(fresh, by)


def _must(allowed) -> None:
    if not allowed:
        text = _("This can't be done any more. What stands now is shown below.")
        raise NotNow(text, code="not-now")


@transaction.atomic
def save(
    attempt, entry: Entry, *, by, version, now, final=False, part: str | None = None
) -> Mark:
    """Keep what the person wrote as the mark that is theirs to write.

    version : that of the mark the page was made from; 0 for one that is begun now
    part : which mark it was written as; None for whichever is theirs
    final : it is done; every row needs points
    Raises NotNow, ChangedElsewhere, and ValidationError for points that are missing.
    """
    at = _locked(attempt, by)
    _must(at.part)
    if part and part != at.part:
        text = _("It is another mark that you write here since you opened the page.")
        raise NotNow(text, code="other-part")
    mark = at.mine or _begun(at, by)
    rows = len(at.rubric)
    if version != mark.version and entry != Entry.of(mark, rows):
        text = _("This mark was saved elsewhere since you opened the page.")
        raise ChangedElsewhere(text, code="changed-elsewhere")
    if final and not entry.is_complete:
        text = _("Give points in every row; 0 is a number too.")
        raise ValidationError(text, code="missing")
    mark.points, mark.comments = list(entry.points), list(entry.comments)
    mark.overall, mark.marker, mark.saved_at = entry.overall, by, now
    mark.state = State.FINAL if final else State.DRAFT
    mark.version += 1
    mark.save()
    return mark


def _begun(at: Standing, by) -> Mark:
    """A mark that the person begins: a new one, or one that nobody holds, empty."""
    mark = at.marks.get(at.part) or Mark(attempt=at.attempt, part=at.part)
    mark.points, mark.comments, mark.overall, mark.version = [], [], "", 0
    mark.marker = by
    return mark


@transaction.atomic
def reopen(attempt, *, by) -> None:
    """Make the person's own final mark a draft again, before anybody else has to do with it."""
    at = _locked(attempt, by)
    _must(at.may_reopen)
    Mark.objects.filter(pk=at.first.pk).update(state=State.DRAFT)


@transaction.atomic
def ask_second(attempt, *, by) -> Mark:
    """Ask for a second mark, by another mentor who sees nothing of the first."""
    at = _locked(attempt, by)
    if at.has_first and not at.could_mark_second:
        text = _("The club has no other mentor who could mark it.")
        raise NotNow(text, code="nobody")
    _must(at.may_ask)
    return Mark.objects.create(attempt=at.attempt, part=Part.SECOND)


@transaction.atomic
def withdraw_second(attempt, *, by) -> None:
    """Do without the second mark, as long as nobody is writing it."""
    at = _locked(attempt, by)
    _must(at.may_withdraw)
    at.second.delete()


@transaction.atomic
def hand_back(attempt, *, by, now, link: str | None) -> Mark:
    """Show the mark to the trainee, count it as the attempt's grade, and write to them.

    Where an assessment keeps the result from them still, all of that waits for its release (`released`).

    link : the address of the result, with the name of the site in it; None: nobody is written to
    """
    at = _locked(attempt, by)
    mark = at.to_return
    _must(mark)
    mark.returned_at = now
    mark.save(update_fields=["returned_at"])
    _grade(at, mark)
    if link and not at.attempt.withheld:
        _tell(at.attempt, link)
    return mark


def released(attempts, *, address) -> None:
    """Write to the trainees whose marks were returned before the results of the assessment were out.

    address : makes a whole address of a path
    """
    for attempt in attempts:
        if attempt.marks.returned().exists():
            _tell(
                attempt, address(reverse("quizzes:attempt-result", args=[attempt.pk]))
            )


def _tell(attempt, link: str) -> None:
    trainee, title = attempt.trainee, attempt.revision.title
    if trainee is not None and trainee.is_active:
        transaction.on_commit(lambda: _write(trainee, title, link))


def _grade(at: Standing, mark: Mark) -> None:
    """The attempt's grade as points of the most that the rubric gives; and the running counts."""
    most, revision = at.rubric.most, at.attempt.revision_id
    share = mark.total / most
    Grade.objects.filter(attempt=at.attempt, revision=revision).update(
        share=share, pairs_agreed=mark.total, pairs_counted=most
    )
    if at.attempt.withheld:  # counted when the assessment's results are released
        return
    Revision.objects.filter(pk=revision).update(
        graded=F("graded") + 1, share_sum=F("share_sum") + share
    )


def _write(trainee, title: str, link: str) -> None:
    """A mail that it is marked. The marks themselves stand on the site, behind the sign-in."""
    body = render_to_string(
        "quizzes/marking/returned_mail.txt",
        {"name": trainee.name, "title": title, "link": link},
    )
    subject = _("Your critique was marked: %(title)s") % {"title": title}
    try:
        send_mail(" ".join(subject.split()), body, None, [trainee.email])
    except OSError:
        # The mark is returned all the same and stands on the trainee's record.
        log.exception("The mail about a returned mark was not sent.")
