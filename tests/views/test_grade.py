"""Dogs to grade: pictures and words, reasons, and dogs copied from the club's own."""

import pytest
from django.urls import reverse

from quizzes.kinds.grade.kind import KIND
from quizzes.models import Revision
from tests.factories import LibraryDogFactory, UserFactory
from tests.placing import placing_class
from tests.sheets import answered, opened, posted, right, sheet
from tests.views.test_sheets import form_values, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def revision(club):
    return sheet(club, "grade")


def rows(revision):
    return KIND.sheet(revision.content).rows


class TestAnswering:
    def test_dogs_are_shown_and_the_show_decides(self, client, revision, bob):
        attempt = opened(revision, bob)
        client.force_login(bob)
        page = client.get(f"/attempts/{attempt.pk}/").text
        assert "they decide" in page
        assert "What the grades say" in page
        for row in rows(revision):
            assert f">{row.armband}<" in page
        dog = rows(revision)[0].id
        plate = reverse("quizzes:placing-plate", args=[attempt.pk, dog])
        assert plate in page
        assert client.get(plate).headers["Content-Type"] == "image/svg+xml"
        client.force_login(UserFactory())
        assert client.get(plate).status_code == 404

    def test_reasons_without_a_grade_are_kept_and_not_handed_in(
        self, client, revision, bob
    ):
        attempt = opened(revision, bob)
        answer = right(revision)
        pk = attempt.shown["order"][0]
        answer["items"][pk] = {"grade": "", "reasons": ["for:forehand"]}
        client.force_login(bob)
        page = send(client, attempt, posted(revision, answer), "hand-in")
        assert page.status_code == 422
        assert "One thing is not answered yet: number 1." in page.text
        attempt.refresh_from_db()
        assert attempt.answer["items"][pk]["reasons"] == ["for:forehand"]

    @pytest.mark.parametrize("reason", ["for:nothing", "forehand", "x" * 300])
    def test_a_reason_that_is_none(self, client, revision, bob, reason):
        attempt = opened(revision, bob)
        answer = right(revision)
        first = next(iter(answer["items"].values()))
        first["reasons"] = [reason]
        client.force_login(bob)
        page = send(client, attempt, posted(revision, answer))
        assert page.status_code == 422

    def test_the_same_reason_twice_is_one(self, client, revision, bob):
        attempt = opened(revision, bob)
        pk = rows(revision)[0].id
        data = {f"a-{pk}-grade": "good"}
        data |= {f"a-{pk}-reason-{n}": "for:back" for n in (1, 2)}
        client.force_login(bob)
        send(client, attempt, data)
        attempt.refresh_from_db()
        assert attempt.answer["items"] == {
            pk: {"grade": "good", "reasons": ["for:back"]}
        }


class TestResult:
    def page(self, client, revision, bob, changes):
        answer = right(revision)
        for row, value in zip(rows(revision), changes, strict=False):
            answer["items"][row.id] |= value
        attempt = answered(revision, bob, answer)
        client.force_login(bob)
        return attempt, client.get(f"/attempts/{attempt.pk}/result/").text

    def test_half_for_a_neighbour_and_reasons_beside_the_headline(
        self, client, revision, bob
    ):
        changes = [
            {"grade": "very-good", "reasons": ["against:forehand", "for:coat"]},
            {"grade": "very-good", "reasons": []},
        ]
        attempt, page = self.page(client, revision, bob, changes)
        grade = attempt.grades.get()
        assert (grade.pairs_agreed, grade.pairs_counted) == (5.5, 6)
        assert "You have 5½ of 6 as the key has it." in page
        assert "You are one step lower." in page
        assert "You graded one dog lower than the mentor." in page
        assert "You hold the other way round: against it: Shoulder" in page
        assert "You alone name: for it: Coat" in page
        assert "The mentor decides by: for it: Movement" in page
        assert "Cohen&#x27;s kappa with linear weights over the 4 dogs" in page

    def test_no_half_beside_the_scale(self, client, revision, bob):
        changes = [{}, {}, {}, {"grade": "disqualified"}, {"grade": "cannot-be-judged"}]
        attempt, page = self.page(client, revision, bob, changes)
        assert attempt.grades.get().pairs_agreed == 4
        assert "no half right here" in page
        assert "not steps of one scale" in page

    def test_kappa_that_is_not_defined_says_so(self, client, revision, bob):
        changes = [{"grade": "disqualified"}] * 6
        _attempt, page = self.page(client, revision, bob, changes)
        assert "is not defined over the 0 dogs" in page


def test_a_record_matches_dogs_with_grades(revision):
    told = KIND.interaction(revision.content, revision.key, right(revision))
    assert told.type == "matching"
    assert "r1[.]excellent" in told.response
    assert KIND.anonymous(right(revision)) == right(revision)


class TestMentor:
    def test_a_dog_of_the_library_and_one_of_a_class(
        self, client, club, alice, revision
    ):
        module = revision.exercise.module
        kept = LibraryDogFactory(club=club, module=module, ringside="A library dog.")
        klass = placing_class(club, module=module)
        client.force_login(alice)
        url = f"/workshop/sheets/{revision.exercise_id}/"
        before = len(rows(revision))
        for chosen in (f"library:{kept.pk}", f"{klass.pk}:a"):
            data = form_values(client.get(url).context)
            data |= {"copy-dog": chosen, "do": "copy"}
            assert client.post(url, data).status_code == 302
        draft = Revision.objects.get(exercise=revision.exercise, state="draft")
        found = rows(draft)
        assert len(found) == before + 2
        assert found[-2].ringside == "A library dog."
        assert found[-2].library == kept.pk
        assert len({row.armband for row in found}) == len(found)
        assert len({row.id for row in found}) == len(found)
        assert client.get(url).status_code == 200

    def test_nothing_chosen_to_copy(self, client, club, alice, revision):
        LibraryDogFactory(club=club, module=revision.exercise.module)
        client.force_login(alice)
        url = f"/workshop/sheets/{revision.exercise_id}/"
        data = form_values(client.get(url).context) | {"do": "copy"}
        page = client.post(url, data)
        assert page.status_code == 422
        assert "Choose the dog to copy." in page.text

    def test_another_clubs_dog_is_out_of_reach(self, client, alice, revision):
        theirs = LibraryDogFactory()
        client.force_login(alice)
        url = f"/workshop/sheets/{revision.exercise_id}/"
        data = form_values(client.get(url).context)
        data |= {"copy-dog": f"library:{theirs.pk}", "do": "copy"}
        assert client.post(url, data).status_code == 422

    def test_without_a_grade_the_report_says_why(self, revision):
        key = {pk: dict(one) for pk, one in revision.key["items"].items()}
        disqualified = next(
            pk for pk, one in key.items() if one["grade"] == "disqualified"
        )
        key[disqualified]["why"] = ""
        problems = KIND.problems(revision.content, {"items": key})
        assert [one.anchor for one in problems] == [f"row-{disqualified}"]
        assert "Say why" in problems[0].text

    def test_the_priorities_come_from_the_module(self, client, alice, revision):
        module = revision.exercise.module
        client.force_login(alice)
        data = {"module": module.pk, "title": "Mine", "note": ""}
        told = client.post("/workshop/sheets/new/grade/", data)
        draft = Revision.objects.get(title="Mine")
        slugs = [one["slug"] for one in draft.content["priorities"]]
        taught = draft.module_revision.priorities.values_list("slug", flat=True)
        assert slugs == list(taught)
        assert "Speaks against it" in client.get(told.url).text
