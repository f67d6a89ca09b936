"""Where the marking of one attempt stands, and what one mentor may see and do of it."""

from __future__ import annotations

from dataclasses import dataclass

from quizzes.kinds import kind_of
from quizzes.marking.rubric import Rubric
from quizzes.models import Attempt, Mark
from trainer.clubs.models import Membership, Role

Part = Mark.Part


@dataclass(frozen=True)
class Standing:
    """The marks of an attempt as they are now, for one mentor.

    mentors : ids of the people who teach in the club
    """

    attempt: Attempt
    user: object
    marks: dict[str, Mark]
    mentors: frozenset[int]

    @property
    def rubric(self) -> Rubric:
        return kind_of(self.attempt.revision).rubric(self.attempt.revision.key)

    @property
    def first(self) -> Mark | None:
        return self.marks.get(Part.FIRST)

    @property
    def second(self) -> Mark | None:
        return self.marks.get(Part.SECOND)

    @property
    def agreed(self) -> Mark | None:
        return self.marks.get(Part.AGREED)

    @property
    def returned(self) -> Mark | None:
        return next((mark for mark in self.marks.values() if mark.returned_at), None)

    @property
    def both_final(self) -> bool:
        return bool(
            self.first and self.second and self.first.is_final and self.second.is_final
        )

    def is_gone(self, mark: Mark) -> bool:
        """Whether the marker's account is erased, or they teach here no more."""
        if mark.marker is None:
            return True
        return mark.marker_id not in self.mentors and not mark.marker.is_staff

    def is_free(self, mark: Mark) -> bool:
        """A draft of nobody, or of somebody who is gone: another mentor may take it."""
        return not mark.is_final and self.is_gone(mark)

    def is_mine(self, mark: Mark | None) -> bool:
        return mark is not None and mark.marker_id == self.user.pk

    @property
    def part(self) -> str | None:
        """Which mark the person writes now; None if there is nothing for them to write."""
        if self.returned:
            return None
        if self.both_final:
            return Part.AGREED if self.may_agree else None
        for part, mark in ((Part.FIRST, self.first), (Part.SECOND, self.second)):
            if self.is_mine(mark):
                return None if mark.is_final else part
        if self.first is None or self.is_free(self.first):
            return Part.FIRST
        return Part.SECOND if self.second and self.is_free(self.second) else None

    @property
    def mine(self) -> Mark | None:
        """The mark that `part` names, where the person has begun it.

        The agreed mark is of both; a draft that is taken over begins anew.
        """
        mark = self.marks.get(self.part) if self.part else None
        taken = mark and (self.part == Part.AGREED or self.is_mine(mark))
        return mark if taken else None

    @property
    def may_agree(self) -> bool:
        """The two markers agree; where one is gone, any mentor of the club stands in."""
        both = (self.first, self.second)
        return any(self.is_mine(mark) or self.is_gone(mark) for mark in both)

    @property
    def seen(self) -> list[Mark]:
        """The final marks that the person may see: both once both are final, until then their own."""
        final = [mark for mark in self.marks.values() if mark.is_final]
        if self.returned or self.both_final:
            return final
        return [mark for mark in final if self.is_mine(mark)]

    @property
    def has_first(self) -> bool:
        """Whether the first mark is final and the person answers for it."""
        mark = self.first
        final = mark is not None and mark.is_final and not self.returned
        return final and (self.is_mine(mark) or self.is_gone(mark))

    @property
    def could_mark_second(self) -> bool:
        """Whether the club has another mentor than the first marker and the writer."""
        begins = self.part == Part.FIRST or self.first is None
        marker = self.user.pk if begins else self.first.marker_id
        return bool(self.mentors - {marker, self.attempt.trainee_id})

    @property
    def may_ask(self) -> bool:
        return self.has_first and self.second is None and self.could_mark_second

    @property
    def may_withdraw(self) -> bool:
        """A second mark that nobody is writing can be done without again."""
        return self.has_first and self.second is not None and self.is_free(self.second)

    @property
    def may_reopen(self) -> bool:
        return self.has_first and self.second is None and self.is_mine(self.first)

    @property
    def to_return(self) -> Mark | None:
        """The mark that can be handed back now: the agreed one, or the first where it is the only one."""
        if self.returned:
            return None
        if self.both_final:
            final = self.agreed is not None and self.agreed.is_final
            return self.agreed if final and self.may_agree else None
        return self.first if self.has_first and self.second is None else None


def standing(attempt: Attempt, user) -> Standing:
    """Where the marking stands for this mentor (two queries)."""
    marks = attempt.marks.select_related("marker")
    teaching = Membership.objects.filter(
        club=attempt.revision.exercise.club_id, role=Role.MENTOR
    )
    return Standing(
        attempt=attempt,
        user=user,
        marks={mark.part: mark for mark in marks},
        mentors=frozenset(teaching.values_list("user", flat=True)),
    )
