"""Taking a bundle in: what would be made of it, and making it.

A trial does everything but keeping photographs, and takes it back: so what it reports is what happens.
Nothing that is there is written over: what differs becomes a draft of the importing mentor.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext_lazy

from quizzes import exercises
from quizzes.bundles.checking import Checked
from quizzes.bundles.documents import (
    HEAD,
    READING,
    club_breed_of,
    drawings_of,
    exercise_part,
    exercise_with_photographs,
    filled,
    with_photographs,
)
from quizzes.bundles.kinds import KINDS
from quizzes.bundles.photographs import Photographs, encoded
from quizzes.bundles.refusals import BadBundle
from quizzes.kinds import kind_named
from quizzes.models import Build, Drawing, Exercise, Revision
from trainer.clubs.models import Club
from trainer.pictures.intake import Photograph
from trainer.study.desk.drafts import free_slug
from trainer.study.desk.lacking import lacking_in
from trainer.study.models import Module, ModuleRevision
from trainer.study.parts import module_document
from trainer.study.services import breed_for, publish_module, store_draft

NEW, DRAFT, SAME, LEFT = "new", "draft", "same", "left"
"""Made; a draft beside what is there; there already and the same; there already and left as it is."""


OUTCOMES = {
    NEW: gettext_lazy("new here"),
    DRAFT: gettext_lazy("a draft beside what is here already"),
    SAME: gettext_lazy("here already, the same"),
    LEFT: gettext_lazy("here already with a key, and left as it is"),
}


CONTENTS = {
    "priorities": ngettext_lazy("one priority", "%(n)s priorities", "n"),
    "steps": ngettext_lazy("one step", "%(n)s steps", "n"),
    "faults": ngettext_lazy("one fault", "%(n)s faults", "n"),
    "lessons": ngettext_lazy("one lesson", "%(n)s lessons", "n"),
    "terms": ngettext_lazy("one term", "%(n)s terms", "n"),
    "drawings": ngettext_lazy("one drawing", "%(n)s drawings", "n"),
}


@dataclass(frozen=True)
class Line:
    """What becomes of one thing in the bundle.

    lacks : how much is to be mended before it can be published
    """

    title: str
    outcome: str
    lacks: int = 0

    @property
    def said(self) -> str:
        return str(OUTCOMES[self.outcome])


@dataclass(frozen=True)
class Report:
    """What taking a bundle in makes, or would make."""

    module: Line
    breed: str
    revision: ModuleRevision | None = None
    counts: Mapping[str, int] = field(default_factory=dict)
    exercises: tuple[Line, ...] = ()
    made: tuple[Revision, ...] = ()
    new_photographs: int = 0
    known_photographs: int = 0
    authors: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def contents(self) -> str:
        """What is in the module, in words: "10 priorities, 18 steps"."""
        found = [CONTENTS[name] % {"n": n} for name, n in self.counts.items() if n]
        return ", ".join(found)

    @property
    def makes_nothing(self) -> bool:
        outcomes = {self.module.outcome, *(one.outcome for one in self.exercises)}
        return outcomes <= {SAME, LEFT}


def trial(
    bundle: Checked, *, club: Club, by, now: datetime, decode: bool = True
) -> Report:
    """What `take` would do; nothing is stored. Raises BadBundle as it does.

    decode : look into the photographs as well, which takes a while
    """
    photographs = encoded(bundle) if decode else {}
    return _taken(bundle, club, by, now, photographs, agreed=False, is_trial=True)


def take(bundle: Checked, *, club: Club, by, now: datetime, agreed: bool) -> Report:
    """Store the module, its exercises and its photographs as drafts of this mentor: all of it, or nothing.

    agreed : right and consent for the photographs are there (trainer.pictures.models.CONSENT);
        without it only who sent them sees them
    Raises BadBundle.
    """
    photographs = encoded(bundle)
    return _taken(bundle, club, by, now, photographs, agreed=agreed, is_trial=False)


@transaction.atomic
def publish(report: Report, *, now: datetime) -> list[Revision]:
    """Put what was made in force and return its exercises. Raises ValidationError naming what must be mended first."""
    if report.revision.state == ModuleRevision.State.DRAFT:
        missing = lacking_in(report.revision)
        if missing:
            text = _("The module lacks: %(names)s.")
            names = "; ".join(lack.text for lack in missing)
            raise ValidationError(text, code="lacking", params={"names": names})
        publish_module(report.revision, now=now)
    return [exercises.publish(one, now=now, regrade=False) for one in report.made]


def _taken(bundle, club, by, now, photographs, *, agreed, is_trial) -> Report:
    try:
        with transaction.atomic():
            Club.objects.select_for_update().get(pk=club.pk)
            report = _Taking(
                bundle, club, by, now, photographs, agreed, is_trial
            ).report()
            transaction.set_rollback(is_trial)
    except BadBundle:
        raise
    except ValidationError as error:
        raise BadBundle([BadBundle(text) for text in error.messages]) from error
    return report


@dataclass
class _Taking:
    bundle: Checked
    club: Club
    by: object
    now: datetime
    encoded: Mapping[str, Photograph]
    agreed: bool
    is_trial: bool
    notes: list[str] = field(default_factory=list)

    def report(self) -> Report:
        document = self.bundle.document
        self.notes += self.bundle.notes
        photographs = Photographs(self)
        module = with_photographs(document["module"], photographs.name)
        line, stored, revision = self._module(module)
        if line.outcome != SAME:
            line = replace(line, lacks=len(lacking_in(revision)))
        self._beside(stored, module)
        lines, made_now = [], []
        for one in document["exercises"]:
            exercise = exercise_with_photographs(one, photographs.name)
            found, draft = self._exercise(stored, revision, exercise)
            lines.append(found)
            made_now += [draft] if draft else []
        if not self.is_trial:
            photographs.keep()
        return Report(
            module=line,
            breed=str(stored.breed),
            revision=revision,
            counts=_counts(module),
            exercises=tuple(lines),
            made=tuple(made_now),
            new_photographs=len(photographs.new),
            known_photographs=len(photographs.known),
            authors=tuple(module.get("authors", [])),
            notes=tuple(self.notes),
        )

    # the module

    def _module(self, document: Mapping) -> tuple[Line, Module, ModuleRevision]:
        module = Module.objects.filter(club=self.club, public_id=document["id"]).first()
        title = document["title"]
        if module is None:
            module = self._new_module(document)
            return Line(title, NEW), module, self._draft(module, document)
        for one in _standing(module):
            if filled(module_document(one)) == filled(document):
                return Line(title, SAME), module, one
        latest = module.revisions.first()
        if latest and latest.state == ModuleRevision.State.DRAFT:
            text = _(
                "“%(title)s” has a draft here that says something else. Publish that draft or throw it away, "
                "then take the bundle in again."
            )
            raise BadBundle(text, code="draft", params={"title": latest.title})
        return Line(title, DRAFT), module, self._draft(module, document)

    def _new_module(self, document: Mapping) -> Module:
        breed = breed_for(document["breed"])
        said = {name: getattr(breed, name) for name in document["breed"]}
        if said != document["breed"]:
            text = _(
                "The breed %(breed)s is known here already; what is said of it here stays."
            )
            self.notes.append(text % {"breed": breed})
        taken = set(
            Module.objects.filter(club=self.club).values_list("slug", flat=True)
        )
        return Module.objects.create(
            club=self.club,
            breed=breed,
            slug=free_slug(taken, document["slug"])
            if document["slug"] in taken
            else document["slug"],
            public_id=uuid.UUID(document["id"]),
        )

    def _draft(self, module: Module, document: Mapping) -> ModuleRevision:
        draft = store_draft(module, document, author=self.by)
        draft.edited_by, draft.edited_at = self.by, self.now
        draft.save(update_fields=["edited_by", "edited_at"])
        return draft

    def _beside(self, module: Module, document: Mapping) -> None:
        """Drawings beside the priorities, and how the club draws the breed."""
        there = drawings_of(module)
        for one in document.get("drawings", []):
            if one in there:
                continue
            Drawing.objects.create(
                club=self.club,
                module=module,
                name=one["name"],
                priority=one["priority"],
                view=one["view"],
                document=one["drawn"],
                made_by=self.by,
            )
        self._club_breed(module, document.get("club_breed"))

    def _club_breed(self, module: Module, build: Mapping | None) -> None:
        own = club_breed_of(module)
        if build is None or own == build:
            return
        mine = Build.objects.filter(club=self.club)
        if own or mine.filter(name__iexact=build["name"]).exists():
            text = _(
                "The club draws the breed %(name)s in its own way already; that stays."
            )
            self.notes.append(text % {"name": build["name"]})
            return
        Build.objects.create(club=self.club, module=module, made_by=self.by, **build)

    # its exercises

    def _exercise(self, module, revision, document) -> tuple[Line, Revision | None]:
        self._note_unknown(revision, document)
        mine = Exercise.objects.shared().filter(
            club=self.club, public_id=document["id"]
        )
        exercise = mine.first()
        title, lacks = document["title"], self._lacks(document)
        if exercise is None:
            exercise = Exercise.objects.create(
                club=self.club,
                module=module,
                kind=document["type"],
                made_by=self.by,
                public_id=uuid.UUID(document["id"]),
                kept_back=_is_kept_back(document),
            )
            return Line(title, NEW, lacks), self._revision(
                exercise, revision, document, 1
            )
        if exercise.module_id != module.pk or exercise.kind != document["type"]:
            text = _("“%(title)s” belongs to another module of the club here.")
            raise BadBundle(text, code="elsewhere", params={"title": title})
        self._note_open(exercise, document)
        if any(self._is_same(one, document) for one in _standing(exercise)):
            return Line(title, SAME), None
        if self.bundle.document["profile"] == READING:
            return Line(title, LEFT), None
        latest = exercise.revisions.first()
        if latest.state == Revision.State.DRAFT:
            text = _(
                "“%(title)s” has a draft here that says something else. Publish that draft or discard it, then "
                "take the bundle in again."
            )
            raise BadBundle(text, code="draft", params={"title": latest.title})
        draft = self._revision(exercise, revision, document, latest.number + 1)
        return Line(title, DRAFT, lacks), draft

    def _is_same(self, standing: Revision, document: Mapping) -> bool:
        theirs = exercise_part(standing, self.bundle.document["profile"])
        document = {**document, "kept_back": _is_kept_back(document)}
        theirs["kept_back"] = document["kept_back"]  # decided in each club by itself
        kind = KINDS[document["type"]]
        content, key = kind.settled(*_stored(document))
        if self.bundle.document["profile"] == READING:
            content = kind.for_reading(content)
            return theirs == {**document, "content": content}
        return theirs == {**_authored(document), "content": content, "key": key}

    def _note_open(self, exercise: Exercise, document: Mapping) -> None:
        """Whether an exercise that is here is asked in assessments only stays as the club has it."""
        if _is_kept_back(document) and not exercise.kept_back:
            text = _(
                "“%(title)s” is for assessments only in the bundle; here it is open for practice, and that stays."
            )
            self.notes.append(text % {"title": document["title"]})

    def _revision(self, exercise, revision, document, number: int) -> Revision:
        content, key = _stored(document)
        return Revision.objects.create(
            exercise=exercise,
            module_revision=revision,
            number=number,
            **{name: document[name] for name in HEAD},
            difficulty=_authored(document)["difficulty"],
            content=content,
            key=key,
            size=kind_named(exercise.kind).size(content),
            edited_by=self.by,
        )

    def _lacks(self, document: Mapping) -> int:
        content, key = _stored(document)
        return len(kind_named(document["type"]).problems(content, key))

    def _note_unknown(self, revision: ModuleRevision, document: Mapping) -> None:
        known = frozenset(revision.priorities.values_list("slug", flat=True))
        kind = KINDS[document["type"]]
        unknown = kind.unknown_priorities(
            document["content"], document.get("key", {}), known
        )
        for slug in sorted(unknown):
            text = _(
                "“%(title)s” speaks of a priority that the module does not have: %(slug)s."
            )
            self.notes.append(text % {"title": document["title"], "slug": slug})
        steps = frozenset(revision.steps.values_list("name", flat=True))
        for name in sorted(kind.unknown_steps(document["content"], steps)):
            text = _(
                "“%(title)s” asks for a step that the module does not have: %(name)s."
            )
            self.notes.append(text % {"title": document["title"], "name": name})


def _standing(owner: Module | Exercise) -> list:
    """The revisions that stand: what is in force, and the latest, which may be a draft."""
    latest, in_force = owner.revisions.first(), owner.revisions.in_force().first()
    return [one for one in (in_force, latest) if one]


def _stored(document: Mapping) -> tuple[dict, dict]:
    """Content and key of an exercise of the bundle, as a revision keeps them."""
    kind = KINDS[document["type"]]
    return kind.stored(document["content"], document.get("key", {}))


def _is_kept_back(document: Mapping) -> bool:
    """Whether it is asked in assessments only; a bundle that says nothing, as older ones do, leaves it open."""
    return document.get("kept_back", False)


def _authored(document: Mapping) -> dict:
    """An exercise with what an author may leave out."""
    return {"difficulty": Revision.Difficulty.MIDDLING.value, **document}


def _counts(module: Mapping) -> dict[str, int]:
    rows = {"steps": module["examination"]["steps"]}
    return {name: len(rows.get(name, module.get(name, []))) for name in CONTENTS}
