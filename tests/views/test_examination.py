"""The examination from memory: begun from the module, answered without scripts, explained, written by a mentor."""

from dataclasses import replace

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from quizzes.attempts import add_grade
from quizzes.kinds.examination.content import ExamAnswer, ExamContent, ExamKey
from quizzes.models import Attempt, Exercise, Revision
from tests.examinations import (
    STEPS,
    answered,
    examination,
    opened,
    posted,
    right_answer,
)
from tests.factories import ModuleFactory, StepFactory, UserFactory
from tests.views.test_sheets import send

pytestmark = pytest.mark.django_db
NAMES = [name for name, _sense, _find in STEPS]


def ids(revision) -> dict:
    content = ExamContent.read(revision.content)
    return {name: pk for pk, name in content.names.items()}


def page_of(client, attempt) -> str:
    return client.get(f"/attempts/{attempt.pk}/").content.decode()


@pytest.fixture
def attempt(club, bob, client):
    client.force_login(bob)
    return opened(examination(club), bob)


class TestAnswering:
    def test_two_pages_then_the_result(self, client, attempt):
        answer = right_answer(attempt.revision)
        told = send(client, attempt, posted(answer, page="a"), "go-on")
        assert told.status_code == 302
        attempt.refresh_from_db()
        assert attempt.answer["sealed"]
        assert "The step that is missing" in page_of(client, attempt)
        told = send(client, attempt, posted(answer, page="b"), "hand-in")
        assert told.url == f"/attempts/{attempt.pk}/result/"
        grade = attempt.grades.get()
        assert (grade.pairs_agreed, grade.pairs_counted, grade.share) == (45, 45, 1)
        page = client.get(told.url).content.decode()
        assert "You have 45 of 45 pairs of steps in the mentor" in page
        # 10! orders, of which one has all pairs right.
        assert "at least this well less than once in a million times" in page
        assert "No hand goes on too early" in page

    def test_the_stretch_waits_until_the_order_is_closed(self, client, attempt):
        """Nothing on the first page says where a step stands, and the second leaves the first alone."""
        key = ExamKey.read(attempt.revision.key)
        page = page_of(client, attempt)
        assert "a-gap" not in page
        first_at = [page.index(f'id="step-{step}"') for step in key.order]
        assert first_at != sorted(first_at)
        answer = right_answer(attempt.revision)
        backwards = replace(answer, order=answer.order[::-1])
        send(client, attempt, posted(backwards, page="a"), "go-on")
        attempt.refresh_from_db()
        send(client, attempt, posted(answer))
        attempt.refresh_from_db()
        assert attempt.answer["order"] == list(answer.order[::-1])
        assert attempt.answer["gap"] == key.gap

    def test_nothing_of_the_key_is_on_the_pages_before(self, client, attempt):
        answer = right_answer(attempt.revision)
        pages = page_of(client, attempt)
        send(client, attempt, posted(answer, page="a"), "go-on")
        pages += page_of(client, attempt)
        for known in ExamKey.read(attempt.revision.key).steps.values():
            assert known.caution not in pages
            assert known.instruction not in pages

    def test_the_first_page_is_whole_before_going_on(self, client, attempt):
        answer = right_answer(attempt.revision)
        short = replace(answer, order=answer.order[:-1])
        page = send(client, attempt, posted(short, page="a"), "go-on")
        assert page.status_code == 422
        assert "One step has no place." in page.content.decode()
        attempt.refresh_from_db()
        assert not attempt.answer["sealed"]
        assert len(attempt.answer["order"]) == len(STEPS) - 1
        left = replace(short, left=True)
        assert send(client, attempt, posted(left, page="a"), "go-on").status_code == 302

    def test_handing_in_too_early_says_what_is_missing(self, client, attempt):
        answer = right_answer(attempt.revision)
        page = send(client, attempt, posted(answer, page="a"), "hand-in")
        assert page.status_code == 422
        assert "go on to it" in page.content.decode()

    def test_buttons_without_scripts(self, client, attempt):
        steps = ids(attempt.revision)

        def press(do, data=()):
            told = send(client, attempt, dict(data), do)
            attempt.refresh_from_db()
            return told, attempt.answer["order"]

        told, order = press(f"next:{steps['Neck']}")
        assert order == [steps["Neck"]]
        assert told.url == f"/attempts/{attempt.pk}/#step-{steps['Neck']}"
        numbers = {f"a-order-{steps['Neck']}": "1", f"a-order-{steps['Move']}": "7"}
        assert press("save", numbers)[1] == [steps["Neck"], steps["Move"]]
        assert press(f"up:{steps['Move']}", numbers)[1] == [
            steps["Move"],
            steps["Neck"],
        ]
        assert press(f"down:{steps['Move']}", numbers)[1] == [
            steps["Neck"],
            steps["Move"],
        ]
        page = page_of(client, attempt)
        assert page.index("Neck") < page.index("Still to be placed")

    @pytest.mark.parametrize("sent", ["", "nonsense", "\x00", "x" * 9000, "-1", "1e9"])
    def test_nonsense_is_no_answer_and_no_failure(self, client, attempt, sent):
        names = posted(right_answer(attempt.revision))
        page = send(client, attempt, dict.fromkeys(names, sent))
        assert page.status_code in (302, 422)

    def test_a_stranger_finds_nothing(self, client, attempt):
        client.force_login(UserFactory())
        assert send(client, attempt, {}).status_code == 404

    def test_another_window_is_not_written_over(self, client, attempt):
        answer = right_answer(attempt.revision)
        send(client, attempt, posted(replace(answer, finds={}), page="a"))
        page = send(client, attempt, posted(answer, page="a"))
        assert page.status_code == 409
        attempt.refresh_from_db()
        assert attempt.answer["finds"] == {}

    def test_an_old_window_changes_nothing_of_a_closed_page(self, client, attempt):
        answer = right_answer(attempt.revision)
        send(client, attempt, posted(answer, page="a"), "go-on")
        send(client, attempt, posted(replace(answer, order=()), page="a"))
        attempt.refresh_from_db()
        assert attempt.answer["order"] == list(answer.order)

    @pytest.mark.parametrize("part", ["order", "sense", "find", "gap"])
    def test_one_part_alone(self, client, club, bob, part):
        attempt = opened(examination(club, asked=[part]), bob)
        client.force_login(bob)
        answer = right_answer(attempt.revision)
        told = send(client, attempt, posted(answer), "hand-in")
        assert told.status_code == 302
        assert attempt.grades.get().share == 1
        assert client.get(told.url).status_code == 200


class TestResult:
    def test_unsafe_orders_come_first_and_each_moved_step_is_explained(
        self, client, club, bob
    ):
        revision = examination(club)
        steps = ids(revision)
        order = ["Bite", "Stand back", "First touch", "Approach", *NAMES[4:-1]]
        answer = replace(
            right_answer(revision), order=tuple(steps[n] for n in order), left=True
        )
        attempt = answered(revision, bob, answer)
        client.force_login(bob)
        page = client.get(f"/attempts/{attempt.pk}/result/").content.decode()
        unsafe = page.index("Unsafe in this order")
        assert unsafe < page.index("pairs of steps in the mentor")
        assert "before the dog was allowed to notice you" in page
        assert "You had it 1st; the mentor has it <b>4th</b>" in page
        assert "Mind the bite." in page
        assert "One step is left out" in page
        assert "handler" in page[unsafe : unsafe + 1500]
        assert attempt.grades.get().result["order"]["unsafe"] >= 1

    def test_a_step_in_its_own_place_can_have_to_move_all_the_same(
        self, client, club, bob
    ):
        """Where what stood before it moves, its number says nothing."""
        revision = examination(club, asked=("order",))
        order = [*NAMES[3:5], NAMES[2], *NAMES[:2], *NAMES[5:]]
        by_name = ids(revision)
        given = replace(right_answer(revision), order=tuple(by_name[n] for n in order))
        attempt = answered(revision, bob, given)
        client.force_login(bob)
        page = client.get(f"/attempts/{attempt.pk}/result/").text
        assert "3rd</b>, as the mentor has, but other steps stood before it" in page
        assert "/examination/" in page

    def test_other_parts_are_told(self, client, club, bob):
        revision = examination(club)
        answer = right_answer(revision)
        content = ExamContent.read(revision.content)
        asked = content.to_find[0]
        other = next(one for one in asked.options if one != answer.finds[asked.step])
        wrong = replace(
            answer,
            senses=dict.fromkeys(answer.senses, "eye"),
            finds=answer.finds | {asked.step: other},
            after=0 if answer.after else 1,
        )
        attempt = answered(revision, bob, wrong)
        client.force_login(bob)
        page = client.get(f"/attempts/{attempt.pk}/result/").content.decode()
        assert "the mentor has it <b>by hand</b>" in page
        assert "That is found at" in page
        assert "It belongs where it stands here" in page

    def test_what_was_not_said_is_told_as_such(self, client, club, bob):
        """As when the time of an assessment is up: nothing is taken for an answer."""
        revision = examination(club)
        attempt = opened(revision, bob)
        attempt.state, attempt.handed_in_at = "handed_in", timezone.now()
        attempt.answer = ExamAnswer(
            order=ExamKey.read(revision.key).order[:1]
        ).document()
        attempt.save()
        add_grade(attempt, revision, now=timezone.now())
        assert attempt.grades.get().pairs_agreed == 0
        client.force_login(bob)
        page = client.get(f"/attempts/{attempt.pk}/result/").text
        assert "0 of 10 are as the mentor has them" in page
        assert page.count("You did not say") == 11


class TestFromMemory:
    def url(self, module):
        return f"/classes/from-memory/{module.pk}/"

    def test_the_mentors_exercise_if_there_is_one(self, client, club, bob):
        revision = examination(club)
        client.force_login(bob)
        told = client.post(self.url(revision.exercise.module))
        attempt = Attempt.objects.get()
        assert told.url == f"/attempts/{attempt.pk}/"
        assert attempt.revision == revision
        client.post(self.url(revision.exercise.module))
        assert Attempt.objects.count() == 1

    def test_the_one_that_was_done_least_often(self, client, club, bob):
        first = examination(club)
        second = examination(club, module=first.exercise.module)
        answered(first, bob)
        client.force_login(bob)
        client.post(self.url(first.exercise.module))
        assert Attempt.objects.get(state="open").revision == second

    def test_else_one_made_for_the_person_alone(self, client, club, bob):
        revision = examination(club)
        module = revision.exercise.module
        Exercise.objects.all().delete()
        client.force_login(bob)
        told = client.post(self.url(module))
        made = Exercise.objects.get()
        assert made.practice_for == bob
        assert client.get(told.url).status_code == 200
        client.force_login(UserFactory())
        assert client.get(told.url).status_code == 404
        # Later revisions of the module change nothing of it.
        content = Revision.objects.get().content
        assert {step["name"] for step in content["steps"]} == set(NAMES)

    def test_too_few_steps(self, client, club, bob):
        module = ModuleFactory(club=club)
        published = module.revisions.get(state="published")
        published.steps.all().delete()
        StepFactory(revision=published)
        client.force_login(bob)
        assert client.post(self.url(module)).status_code == 404
        assert (
            "from-memory" not in client.get(f"/modules/{module.pk}/examination/").text
        )

    def test_the_button_stands_on_both_pages(self, client, club, bob):
        module = examination(club).exercise.module
        client.force_login(bob)
        for page in ("examination", "examination/hands-free"):
            assert self.url(module) in client.get(f"/modules/{module.pk}/{page}/").text


class TestMentor:
    def form(self, client, revision):
        url = f"/workshop/examinations/{revision.exercise_id}/"
        context = client.get(url).context
        data = {"version": context["version"]}
        for form in (context["form"], *context["steps"]):
            for field in form:
                value = field.value()
                if value is True:
                    data[field.html_name] = "on"
                elif value not in (None, False):
                    data[field.html_name] = value
        return url, data

    def test_begun_from_the_module(self, client, club, alice):
        module = examination(club).exercise.module
        client.force_login(alice)
        data = {"module": module.pk, "title": "Mine", "note": ""}
        told = client.post("/workshop/examinations/new/", data)
        draft = Revision.objects.get(title="Mine")
        assert told.url == f"/workshop/examinations/{draft.exercise_id}/"
        page = client.get(told.url).text
        assert all(name in page for name in NAMES)
        content = ExamContent.read(draft.content)
        key = ExamKey.read(draft.key)
        assert [content.names[step] for step in key.order] == NAMES
        # The stored order of the content says nothing.
        assert [step.id for step in content.steps] == sorted(key.order)

    def test_the_page_stores_what_it_shows(self, client, club, alice):
        revision = examination(club)
        client.force_login(alice)
        url, data = self.form(client, revision)
        assert client.post(url, data | {"do": "save"}).status_code == 302
        draft = revision.exercise.revisions.get(state="draft")
        assert (draft.content, draft.key) == (revision.content, revision.key)

    def test_parts_marks_and_ties(self, client, club, alice):
        revision = examination(club)
        steps = ids(revision)
        client.force_login(alice)
        url, data = self.form(client, revision)
        data["asked"] = ["order"]
        neck, move = f"step-{steps['Neck']}", steps["Stand back"]
        data |= {f"{neck}-level": "on", f"{neck}-why": "The hand goes on."}
        data |= {f"step-{move}-gate": "on", "do": "publish"}
        assert client.post(url, data).url.endswith("#before")
        draft = revision.exercise.revisions.get(state="draft")
        key = ExamKey.read(draft.key)
        assert draft.content["asked"] == ["order"]
        assert key.level == {4}
        assert key.of(steps["Neck"]).why == "The hand goes on."
        assert key.of(move).gate
        client.get(f"/workshop/classes/{revision.exercise_id}/revisions/")

    def test_what_is_lacking_is_said(self, client, club, alice):
        revision = examination(club)
        client.force_login(alice)
        url, data = self.form(client, revision)
        data.pop("asked")
        client.post(url, data | {"do": "save"})
        page = client.get(f"/workshop/classes/{revision.exercise_id}/").text
        assert "tick at least one part" in page

    def test_the_sequence_is_taken_again(self, client, club, alice):
        revision = examination(club)
        client.force_login(alice)
        url, data = self.form(client, revision)
        steps = ids(revision)
        data[f"step-{steps['Bite']}-why"] = "While the head is held."
        StepFactory(revision=revision.module_revision, number=11, name="Thank them")
        client.post(url, data | {"do": "again"})
        draft = revision.exercise.revisions.get(state="draft")
        content, key = ExamContent.read(draft.content), ExamKey.read(draft.key)
        assert [content.names[one] for one in key.order] == [*NAMES, "Thank them"]
        bite = next(pk for pk, name in content.names.items() if name == "Bite")
        assert key.of(bite).why == "While the head is held."

    def test_paper_keeps_the_stretch_and_the_key_apart(self, client, club, alice):
        revision = examination(club)
        client.force_login(alice)
        text = client.get(f"/workshop/examinations/{revision.exercise_id}/print/").text
        first, second, key = text.split("sheet-key-page")
        assert "Where does it belong?" not in first
        assert "Where does it belong?" in second
        assert "Testicles</b>, by hand" in key

    def test_the_room_costs_the_same_for_many(
        self, client, club, alice, django_assert_num_queries
    ):
        revision = examination(club)
        client.force_login(alice)
        url = f"/workshop/classes/{revision.exercise_id}/attempts/"
        answered(revision, UserFactory())
        assert "1 of 1 have it 3rd" in client.get(url).text
        with CaptureQueriesContext(connection) as few:
            client.get(url)
        for _n in range(4):
            answered(revision, UserFactory())
        with django_assert_num_queries(len(few)):
            client.get(url)
