"""A page of each type, for the checks that every page of the site has to pass.

A row is a name and a function that takes the cast and gives an address and who looks at it
(None: nobody is signed in). Adding a page to the site: add a row.
"""

import random
from dataclasses import dataclass
from datetime import timedelta
from functools import cached_property

from django.utils import timezone

from quizzes import attempts, exercises
from quizzes.assessments import tries
from quizzes.drawing.lessons import section_of
from quizzes.drawing.sketch import Sketch
from quizzes.kinds.placing.content import ClassKey
from quizzes.marking import services
from quizzes.models import Mark
from quizzes.panels import services as panels
from quizzes.practice.services import another_class
from tests import examinations
from tests.assessing import AT_ONCE, assessment, at, begun
from tests.browser.ring import attempt_at
from tests.critiques import content as critique_content
from tests.critiques import critique, written
from tests.factories import (
    ClubFactory,
    DrawingFactory,
    LessonFactory,
    LibraryDogFactory,
    MembershipFactory,
    ModuleFactory,
    TermFactory,
    UserFactory,
)
from tests.material import drawn_module
from tests.pairs import answered as pairs_answered
from tests.pairs import pairs
from tests.placing import key as class_key
from tests.sheets import SHEET_KINDS, answered, opened, sheet
from trainer.clubs.models import Role
from trainer.study import reading
from trainer.study.desk import drafts
from trainer.study.page_reads import PageRead
from trainer.study.sections import new_section


def of_each_kind():
    """A text, a picture with points, a comparison, a question; ids a to d."""
    _kind, picture = section_of(Sketch(breed="marlefell-drover"), "alone", "side")
    _kind, compare = section_of(
        Sketch(breed="marlefell-drover", faults={"F1": 1.0}), "ideal", "side"
    )
    filled = {
        "text": {"text": "Find the withers **first**.\n\n- then the back"},
        "picture": {
            **picture,
            "points": [
                {"x": 37, "y": 31, "text": "The withers."},
                {"x": 74, "y": 35, "text": "The croup."},
            ],
        },
        "compare": {**compare, "text": "The blade."},
        "question": {
            "text": "Which goes up?",
            "options": [
                {"text": "The first", "right": True, "said": "It moves better."},
                {"text": "The second", "right": False, "said": "Look again."},
            ],
        },
    }
    return [
        {**new_section(kind), **content, "id": mark}
        for mark, (kind, content) in zip("abcd", filled.items(), strict=True)
    ]


@dataclass
class Cast:
    """A club with a module, a class half placed and one handed in."""

    @cached_property
    def club(self):
        return ClubFactory(name="Tarn Valley Sheepdog Club", slug="tarn-valley")

    def person(self, role):
        user = UserFactory(name=f"Robin {role}")
        MembershipFactory(club=self.club, user=user, role=role)
        return user

    @cached_property
    def trainee(self):
        return self.person(Role.TRAINEE)

    @cached_property
    def mentor(self):
        return self.person(Role.MENTOR)

    @cached_property
    def organiser(self):
        return self.person(Role.ORGANISER)

    @cached_property
    def module_begun(self):
        """The module with two of its pages read by the trainee."""
        rows = [("priority", "priority-1", "Priority 1"), ("faults", "", "Faults")]
        for part, slug, name in rows:
            PageRead.objects.create(
                person=self.trainee,
                module=self.module,
                part=part,
                slug=slug,
                name=name,
                first_at=timezone.now(),
                opened_at=timezone.now(),
                seconds=400,
            )
        return self.module

    @cached_property
    def module(self):
        return ModuleFactory(club=self.club)

    def attempt(self, order="abc", **more):
        return attempt_at(
            self.club, self.trainee, order=order, module=self.module, **more
        )

    @cached_property
    def handed_in(self):
        return attempts.hand_in(self.attempt("acbed"), now=timezone.now())

    @cached_property
    def assessment(self):
        return assessment(self.club, mentor=self.mentor, release=AT_ONCE, tries=3)

    @cached_property
    def assessment_draft(self):
        return assessment(self.club, mentor=self.mentor, opened=False)

    @cached_property
    def a_try(self):
        return begun(self.assessment, self.trainee)

    @cached_property
    def tried(self):
        """Over long ago, with an answer that came late."""
        made = begun(assessment(self.club, release=AT_ONCE), self.trainee, ago=60)
        answer = {"order": list("abc"), "rulings": {}}
        began = timezone.now() - timedelta(minutes=59)
        attempts.save_draft(at(made, 1), answer, version=0, now=began)
        late = {"order": list("abcd"), "rulings": {}}
        attempts.hand_in(at(made, 1), now=timezone.now(), answer=late)
        return tries.close_if_due(made, now=timezone.now())

    @cached_property
    def sheets(self):
        """A sheet of each kind that asks several things at once, by the kind's name."""
        return {
            kind: sheet(self.club, kind, module=self.module) for kind in SHEET_KINDS
        }

    @cached_property
    def open_sheets(self):
        return {kind: opened(one, self.trainee) for kind, one in self.sheets.items()}

    @cached_property
    def answered(self):
        """Handed in by another trainee, so that the open attempts stay open."""
        other = self.person(Role.TRAINEE)
        return {kind: answered(one, other) for kind, one in self.sheets.items()}

    @cached_property
    def examination(self):
        parts = ["order", "sense", "find"]
        return examinations.examination(self.club, asked=parts)

    @cached_property
    def open_examination(self):
        return examinations.opened(self.examination, self.trainee)

    @cached_property
    def examined(self):
        answer = examinations.backwards(self.examination)
        other = self.person(Role.TRAINEE)
        return examinations.answered(self.examination, other, answer)

    @cached_property
    def pairs(self):
        return pairs(self.club)

    @cached_property
    def open_pairs(self):
        return opened(self.pairs, self.trainee)

    @cached_property
    def pairs_done(self):
        """Twice by another trainee, so that there is a history."""
        other = self.person(Role.TRAINEE)
        return [pairs_answered(self.pairs, other, seed=seed) for seed in (1, 2)][-1]

    @cached_property
    def critique(self):
        """A critique of a drawn dog, with terms of the module."""
        for number, name in enumerate(("croup", "movement"), start=1):
            TermFactory(
                revision=self.module.revisions.in_force().get(),
                number=number,
                name=name,
            )
        shown = critique_content(breed="marlefell-drover", place=1)
        return critique(self.club, module=self.module, content=shown)

    @cached_property
    def open_critique(self):
        return attempts.begin(
            self.critique, by=self.trainee, now=timezone.now(), rng=random.Random(1)
        )

    @cached_property
    def written(self):
        return written(self.critique, self.trainee)

    @cached_property
    def second_mentor(self):
        return self.person(Role.MENTOR)

    def marked(self, part, by, points, *, piece):
        """A final mark of the piece."""
        comments = ["Well said, and true of this dog.", ""]
        return Mark.objects.create(
            attempt=piece,
            part=part,
            marker=by,
            points=points,
            comments=comments,
            overall="Say the feet first.",
            state="final",
        )

    @cached_property
    def returned(self):
        self.marked("first", self.mentor, [16, 7], piece=self.written)
        services.hand_back(
            self.written, by=self.mentor, now=timezone.now(), link="/result/"
        )
        return self.written

    @cached_property
    def marked_twice(self):
        self.marked("first", self.mentor, [16, 7], piece=self.written)
        self.marked("second", self.second_mentor, [12, 7], piece=self.written)
        return self.written

    @cached_property
    def second_wanted(self):
        self.marked("first", self.second_mentor, [16, 7], piece=self.written)
        Mark.objects.create(attempt=self.written, part="second")
        return self.written

    @cached_property
    def drawn_module(self):
        return drawn_module(self.club, self.mentor)

    @cached_property
    def practice(self):
        """An open attempt at a class that was made for the trainee."""
        return another_class(
            reading.document(self.trainee, self.drawn_module.pk),
            by=self.trainee,
            size=4,
            difficulty="middling",
            sex="bitch",
            now=timezone.now(),
            rng=random.Random(3),
        )

    @cached_property
    def practised(self):
        """The same, handed in from the bottom up."""
        order = ClassKey.read(self.practice.revision.key).order[::-1]
        sent = {"order": list(order), "rulings": {}}
        return attempts.hand_in(self.practice, now=timezone.now(), answer=sent)

    @cached_property
    def illustrated(self):
        """A priority with a drawing beside it."""
        DrawingFactory(club=self.club, module=self.drawn_module, priority="forehand")
        return self.drawn_module

    @cached_property
    def module_draft(self):
        return drafts.draft_of(self.module, by=self.mentor, now=timezone.now())

    @cached_property
    def lesson(self):
        """One with a section of each kind, and a term that occurs in it."""
        TermFactory(revision=self.module_draft, name="withers")
        return LessonFactory(
            revision=self.module_draft, slug="standing", sections=of_each_kind()
        )

    @cached_property
    def draft(self):
        """A next revision in which dogs changed places and two may stand in either order."""
        exercise = self.handed_in.revision.exercise
        made = exercises.draft_of(exercise, by=self.mentor)
        key = class_key("bacde", level=[2])
        key["pairs"] += made.key["pairs"][:2]
        return exercises.save_revision(
            made, by=self.mentor, version=made.version, key=key
        )

    @cached_property
    def kept_dog(self):
        """A drawn dog of the library."""
        return LibraryDogFactory(
            module=self.module, breed="marlefell-drover", ringside="Long in the loin."
        )

    @cached_property
    def panel(self):
        """A panel of three on a class of five dogs; the mentor has begun to key it."""
        others = [
            MembershipFactory(club=self.club, role=Role.MENTOR).user for _n in range(2)
        ]
        panel = panels.open_panel(
            self.handed_in.revision,
            mentors=[self.mentor, *others],
            message="By Sunday, please.",
            by=self.mentor,
            now=timezone.now(),
            rng=random.Random(1),
        )
        panel.keys.filter(mentor=self.mentor).update(key=class_key("ba"))
        return panel

    @cached_property
    def panel_key(self):
        return self.panel.keys.get(mentor=self.mentor).pk

    @cached_property
    def closed_panel(self):
        """The panel with keys that go round in a circle, one dog out, one pair level."""
        out = {"e": {"ruling": "excused", "reason": "Lame, right fore."}}
        orders = ("abcd", "bcad", "cabd")
        keys = [class_key(order, rulings=out, cuts=[3, 2, 1]) for order in orders]
        keys[0]["level"] = [2]
        for asked, key in zip(self.panel.keys.order_by("pk"), keys, strict=True):
            asked.key, asked.done_at = key, timezone.now()
            asked.save()
        return panels.close_panel(self.panel, now=timezone.now())

    @cached_property
    def item_of_a_try(self):
        return at(self.a_try, 2)

    @cached_property
    def handed_in_exercise(self):
        return self.handed_in.revision.exercise_id


def trainee(path):
    return lambda cast: (path.format(cast=cast), cast.trainee)


def mentor(path):
    return lambda cast: (path.format(cast=cast), cast.mentor)


def organiser(path):
    return lambda cast: (path.format(cast=cast), cast.organiser)


def nobody(path):
    return lambda cast: (path, None)


def of_attempt(path, **more):
    """A page of an open attempt, with dogs placed and others not."""
    return lambda cast: (path.format(pk=cast.attempt(**more).pk), cast.trainee)


PAGES = {
    "sign in": nobody("/account/login/"),
    "sign up": nobody("/account/signup/"),
    "forgotten password": nobody("/account/password/reset/"),
    "start": trainee("/"),
    "account": trainee("/you/profile/"),
    "clubs": trainee("/clubs/"),
    "found a club": trainee("/clubs/found/"),
    "club": organiser("/clubs/{cast.club.slug}/"),
    "modules": trainee("/modules/"),
    "module": trainee("/modules/{cast.module.pk}/"),
    "module, begun": trainee("/modules/{cast.module_begun.pk}/"),
    "module to print": trainee("/modules/{cast.module.pk}/print/"),
    "no connection": nobody("/offline/"),
    "examination": trainee("/modules/{cast.module.pk}/examination/"),
    "examination step": trainee("/modules/{cast.module.pk}/examination/1/"),
    "faults": trainee("/modules/{cast.module.pk}/faults/"),
    "classes": trainee("/classes/"),
    "class": trainee("/classes/{cast.handed_in_exercise}/"),
    "placing": of_attempt("/attempts/{pk}/"),
    "placing, empty": of_attempt("/attempts/{pk}/", order=""),
    "placing, complete": of_attempt("/attempts/{pk}/", order="abcde"),
    "placing, with a clock": of_attempt("/attempts/{pk}/", pace_seconds=120),
    "compare": of_attempt("/attempts/{pk}/compare/"),
    "rulings": of_attempt("/attempts/{pk}/rulings/"),
    "ruling": of_attempt("/attempts/{pk}/rulings/e/"),
    "result": trainee("/attempts/{cast.handed_in.pk}/result/"),
    "record": trainee("/record/"),
    "record, progress": trainee("/record/progress/?of={cast.handed_in.pk}"),
    "record, files": trainee("/record/files/"),
    "deleting the account": organiser("/you/delete/"),
    "another class": trainee("/classes/another/?module={cast.drawn_module.pk}"),
    "made class, placing": trainee("/attempts/{cast.practice.pk}/"),
    "made class, laid over": trainee("/attempts/{cast.practice.pk}/compare/?how=over"),
    "made class, result": trainee("/attempts/{cast.practised.pk}/result/"),
    "illustrated priority": trainee(
        "/modules/{cast.illustrated.pk}/priorities/forehand/"
    ),
    "workbench": mentor(
        "/workshop/drawing/?breed=marlefell-drover&F1=80&R4=50&ideal=1&m=layback"
    ),
    "workbench, with drawings": mentor(
        "/workshop/drawing/?breed=tarnholt-longdrover&seed={cast.illustrated.pk}"
    ),
    "making a class": mentor("/workshop/classes/make/"),
    "a class made": mentor(
        "/workshop/classes/make/?module={cast.drawn_module.pk}&class_name=Open+dogs"
        "&size=4&sex=mixed&difficulty=plain&odd_one=excused&seed=4"
    ),
    "workshop": mentor("/workshop/"),
    "library of dogs": mentor("/workshop/dogs/?priority={cast.kept_dog.module_id}:x"),
    "library, a dog": mentor("/workshop/dogs/{cast.kept_dog.pk}/"),
    "library, a photograph": mentor(
        "/workshop/dogs/{cast.kept_dog.pk}/photographs/side/"
    ),
    "class, from the library": mentor(
        "/workshop/classes/{cast.draft.exercise_id}/dogs/library/?q={cast.kept_dog.name}"
    ),
    "class, revisions compared": mentor(
        "/workshop/classes/{cast.draft.exercise_id}/revisions/"
    ),
    "new class": mentor("/workshop/classes/new/"),
    "class, managed": mentor("/workshop/classes/{cast.handed_in_exercise}/"),
    "class, its dogs": mentor("/workshop/classes/{cast.handed_in_exercise}/dogs/"),
    "class, its key": mentor("/workshop/classes/{cast.handed_in_exercise}/key/"),
    "class, its draft": mentor("/workshop/classes/{cast.draft.exercise_id}/"),
    "class, key of its draft": mentor(
        "/workshop/classes/{cast.draft.exercise_id}/key/?moved=a"
    ),
    "draft to discard": mentor("/workshop/classes/{cast.draft.exercise_id}/discard/"),
    "desk": mentor("/workshop/modules/"),
    "desk, new module": mentor("/workshop/modules/new/"),
    "desk, a draft": mentor("/workshop/modules/{cast.module_draft.module_id}/"),
    "bundle, in": mentor("/workshop/modules/bundles/"),
    "bundle, out": mentor("/workshop/modules/bundles/{cast.module.pk}/"),
    "desk, priorities": mentor(
        "/workshop/modules/{cast.module_draft.module_id}/priorities/"
    ),
    "desk, weights": mentor("/workshop/modules/{cast.module_draft.module_id}/weights/"),
    "desk, points": mentor(
        "/workshop/modules/{cast.module_draft.module_id}/lessons/{cast.lesson.pk}/sections/b/"
    ),
    "lesson": mentor(
        "/workshop/modules/preview/{cast.lesson.revision.module_id}/lessons/standing/"
    ),
    "class, on paper": mentor(
        "/workshop/classes/{cast.handed_in.revision.exercise_id}/print/"
    ),
    "critique, on paper": mentor(
        "/workshop/critiques/{cast.critique.exercise_id}/print/"
    ),
    "review": trainee("/review/"),
    "exercise, another kind": mentor("/workshop/new/"),
    "question, its pictures": mentor(
        "/workshop/sheets/{cast.sheets[question].exercise_id}/r2/pictures/"
    ),
    **{
        name: one
        for kind in SHEET_KINDS
        for name, one in {
            # On paper and everybody's are one template for all of them.
            f"{kind}, to answer": trainee(
                f"/attempts/{{cast.open_sheets[{kind}].pk}}/"
            ),
            f"{kind}, result": mentor(
                f"/attempts/{{cast.answered[{kind}].pk}}/result/"
            ),
            f"{kind}, its rows": mentor(
                f"/workshop/sheets/{{cast.sheets[{kind}].exercise_id}}/"
            ),
            f"{kind}, on paper": mentor(
                f"/workshop/sheets/{{cast.sheets[{kind}].exercise_id}}/print/"
            ),
            f"{kind}, everybody's": mentor(
                f"/workshop/classes/{{cast.answered[{kind}].revision.exercise_id}}/attempts/"
            ),
        }.items()
        if kind == "severity" or not name.endswith(("on paper", "everybody's"))
    },
    "from memory": trainee("/attempts/{cast.open_examination.pk}/"),
    "from memory, result": mentor("/attempts/{cast.examined.pk}/result/"),
    "from memory, its parts": mentor(
        "/workshop/examinations/{cast.examination.exercise_id}/"
    ),
    "from memory, on paper": mentor(
        "/workshop/examinations/{cast.examination.exercise_id}/print/"
    ),
    "from memory, everybody's": mentor(
        "/workshop/classes/{cast.examined.revision.exercise_id}/attempts/"
    ),
    "from memory, new": mentor("/workshop/examinations/new/"),
    "pairs": trainee("/classes/{cast.pairs.exercise_id}/"),
    "pairs, one of them": trainee("/attempts/{cast.open_pairs.pk}/"),
    "pairs, result": mentor("/attempts/{cast.pairs_done.pk}/result/"),
    "pairs, on paper": mentor("/workshop/pairs/{cast.pairs.exercise_id}/print/"),
    "pairs, what they differ in": mentor("/workshop/pairs/{cast.pairs.exercise_id}/"),
    "pairs, everybody's": mentor(
        "/workshop/classes/{cast.pairs_done.revision.exercise_id}/attempts/"
    ),
    "critique": trainee("/classes/{cast.critique.exercise_id}/"),
    "critique, written": trainee("/attempts/{cast.open_critique.pk}/"),
    "critique, result": trainee("/attempts/{cast.written.pk}/result/"),
    "critique, new": mentor("/workshop/critiques/new/?module={cast.module.pk}"),
    "critique, its task": mentor(
        "/workshop/critiques/{cast.critique.exercise_id}/task/"
    ),
    "critique, its key": mentor("/workshop/critiques/{cast.critique.exercise_id}/key/"),
    "critiques, everybody's": mentor(
        "/workshop/classes/{cast.written.revision.exercise_id}/attempts/"
    ),
    "marking, waiting": mentor("/workshop/marking/?{cast.written.pk}"),
    "marking": mentor("/workshop/marking/{cast.written.pk}/"),
    "marking, returned": trainee("/attempts/{cast.returned.pk}/result/"),
    "marking, both marks": mentor("/workshop/marking/{cast.marked_twice.pk}/"),
    "marking, blind": mentor("/workshop/marking/{cast.second_wanted.pk}/"),
    "panel, asked for": mentor("/workshop/classes/{cast.draft.exercise_id}/panel/"),
    "panel, keying": mentor("/workshop/classes/{cast.panel.exercise_id}/panel/"),
    "panel, a key": mentor("/workshop/panels/{cast.panel_key}/?wants=yes"),
    "panel, two dogs": mentor("/workshop/panels/{cast.panel_key}/compare/"),
    "panel, closed": mentor("/workshop/classes/{cast.closed_panel.exercise_id}/panel/"),
    "panel, adopting": mentor(
        "/workshop/classes/{cast.closed_panel.exercise_id}/panel/adopt/?order=1"
    ),
    "assessments": trainee("/assessments/?{cast.assessment.pk}"),
    "assessment, before": trainee("/assessments/{cast.assessment.pk}/"),
    "assessment, its items": trainee("/tries/{cast.a_try.pk}/"),
    "assessment, an item": trainee("/attempts/{cast.item_of_a_try.pk}/"),
    "assessment, handing in": trainee("/tries/{cast.a_try.pk}/hand-in/"),
    "assessment, result": trainee("/tries/{cast.tried.pk}/"),
    "assessments, the mentor's": mentor("/workshop/assessments/?{cast.tried.pk}"),
    "assessment, new": mentor("/workshop/assessments/new/?{cast.module.pk}"),
    "assessment, draft": mentor("/workshop/assessments/{cast.assessment_draft.pk}/"),
    "assessment, changed": mentor(
        "/workshop/assessments/{cast.assessment_draft.pk}/edit/"
    ),
    "assessment, adding": mentor(
        "/workshop/assessments/{cast.assessment_draft.pk}/add/"
    ),
    "assessment, open": mentor("/workshop/assessments/{cast.a_try.assessment_id}/"),
    "assessment, preview": mentor(
        "/workshop/assessments/{cast.assessment.pk}/preview/"
    ),
    "assessment, people": mentor("/workshop/assessments/{cast.assessment.pk}/people/"),
    "assessment, all tries": mentor(
        "/workshop/assessments/{cast.tried.assessment_id}/tries/"
    ),
    "assessment, one try": mentor("/workshop/assessments/tries/{cast.tried.pk}/"),
    "room": mentor("/workshop/classes/{cast.handed_in_exercise}/attempts/"),
    "cards from paper": mentor("/workshop/paper/"),
}
