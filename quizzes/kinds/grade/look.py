"""What is shown of the dogs that are graded: plates, photographs, words."""

from __future__ import annotations

from django.urls import reverse

from quizzes.kinds.placing.content import ClassContent
from quizzes.kinds.placing.pictures import Pictures, photograph_ids
from quizzes.kinds.sheets.rows import Sheet


def class_of(sheet: Sheet) -> ClassContent:
    """The dogs as a class, as what shows dogs takes them."""
    return ClassContent(dogs=tuple(sheet), breed=sheet.more.get("breed", ""))


class OfDraft(Pictures):
    """What a mentor's exercise shows of each dog."""

    def __init__(self, revision, content: ClassContent):
        self.revision, self.content = revision, content
        self.armbands = {dog.id: dog.armband for dog in content}
        self.photographs = photograph_ids(content, revision.exercise.club_id)

    def plate_address(self, dog):
        args = [self.revision.exercise_id, dog.id]
        return reverse("quizzes:placing-draft-plate", args=args)
