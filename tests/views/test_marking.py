"""Marking: the queue, one piece with its rubric, a second marker who sees nothing, and handing back."""

import re

import pytest
from django.core import mail
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from quizzes.models import Grade, Mark, Revision
from quizzes.views import PER_PAGE
from tests.conftest import member, signed_in
from tests.critiques import critique, key, written
from tests.factories import AttemptFactory, MembershipFactory, UserFactory
from tests.placing import placing_class
from trainer.clubs.models import Membership, Role

FIRST_SAYS = "What the first marker says."


@pytest.fixture
def revision(club):
    return critique(club)


@pytest.fixture
def piece(revision, bob):
    """What bob handed in."""
    return written(revision, bob)


@pytest.fixture
def ada(club):
    """A second mentor of the club."""
    return member(club, Role.MENTOR, "Ada Second")


@pytest.fixture
def as_ada(ada):
    return signed_in(ada)


@pytest.fixture
def third(club):
    return signed_in(member(club, Role.MENTOR, "Theo Third"))


def address(piece):
    return f"/workshop/marking/{piece.pk}/"


def send(client, piece, *points, do="save", version=0, said="", whole="", **headers):
    """Post the form; points in the order of the rows."""
    data = {"do": do, "version": version, "overall": whole}
    for n, each in enumerate(points):
        data[f"points-{n}"] = each
        data[f"comment-{n}"] = said
    return client.post(address(piece), data, headers=headers)


def queue(client, name="waiting"):
    return client.get(f"/workshop/marking/?list={name}").text


def is_listed(client, piece, name="waiting"):
    return address(piece) in queue(client, name)


# --- the queue


def test_queue_has_what_was_handed_in(piece, as_alice):
    page = queue(as_alice)
    assert "Bob Trainee" in page
    assert address(piece) in page
    assert re.search(r"Waiting <span[^>]*>\(1\)", page)


def test_queue_leaves_out_what_is_not_to_be_marked(revision, club, alice, as_alice):
    line = [["a", 11]]
    AttemptFactory(revision=revision, shown={"line": line})
    AttemptFactory(revision=revision, handed_in=True, preview=True)
    AttemptFactory(revision=placing_class(club), handed_in=True)
    own = written(revision, alice)
    assert "Nothing waits to be marked" in queue(as_alice)
    assert as_alice.get(address(own)).status_code == 404


def test_queue_is_for_mentors_of_the_club(piece, as_bob, other_club, as_organiser):
    theirs = signed_in(member(other_club, Role.MENTOR, "Mira Elsewhere"))
    assert not is_listed(theirs, piece)
    assert theirs.get(address(piece)).status_code == 404
    for client in (as_bob, as_organiser):
        assert client.get("/workshop/marking/").status_code == 404
        assert client.get(address(piece)).status_code == 404
        assert send(client, piece, 10, 5).status_code == 404
    assert not Mark.objects.exists()


def test_start_page_says_how_many_are_to_mark(piece, revision, alice, as_alice):
    assert "1 critique</a>" in as_alice.get("/").text
    written(revision, UserFactory())
    page = as_alice.get("/").text
    assert "2 critiques</a>" in page
    assert "0 placings so far" in page
    assert "0 classes to place" in page


def test_unknown_list_is_no_page(as_alice):
    assert as_alice.get("/workshop/marking/?list=all").status_code == 404


def test_queue_asks_as_often_for_many_as_for_few(revision, alice, as_alice):
    counts = []
    for number in (2, PER_PAGE + 3):
        for _each in range(number):
            attempt = written(revision, UserFactory())
            Mark.objects.create(attempt=attempt, part="first", marker=alice)
        as_alice.get("/workshop/marking/?list=mine")
        with CaptureQueriesContext(connection) as queries:
            page = as_alice.get("/workshop/marking/?list=mine").text
        counts.append(len(queries))
    assert page.count('class="margin-title"') == PER_PAGE
    assert "list=mine&amp;page=2" in page
    assert counts[0] == counts[1]


# --- one mark


def test_page_has_the_critique_beside_the_rubric(piece, as_alice):
    page = as_alice.get(address(piece)).text
    assert "A balanced dog with a good croup." in page
    assert "The mentor says it in one line." in page
    assert "Row 1" in page
    assert "Points, of 20" in page
    assert not Mark.objects.exists()


def test_mark_is_saved_as_typed(piece, alice, as_alice):
    response = send(as_alice, piece, 15, "", said="True.", accept="application/json")
    assert response.status_code == 200
    assert response.json()["version"] == 1
    mark = Mark.objects.get()
    assert (mark.points, mark.comments) == ([15, None], ["True.", "True."])
    assert (mark.marker, mark.state) == (alice, "draft")
    assert 'name="points-0" value="15"' in as_alice.get(address(piece)).text
    assert is_listed(as_alice, piece, "mine")
    assert not is_listed(as_alice, piece)


@pytest.mark.parametrize("points", [(21, 5), (-1, 5), ("many", 5), (1.5, 5)])
def test_points_that_can_not_be_are_refused(piece, as_alice, points):
    response = send(as_alice, piece, *points)
    assert response.status_code == 422
    assert "Error:" in response.text
    response = send(as_alice, piece, *points, accept="application/json")
    assert response.status_code == 422
    assert "some points are not possible" in response.json()["said"]
    assert not Mark.objects.exists()


@pytest.mark.parametrize("do", ["return", "ask", "final"])
def test_finishing_asks_for_points_in_every_row(piece, ada, as_alice, do):
    response = send(as_alice, piece, 15, "", do=do, said="Kept on the page.")
    assert response.status_code == 422
    assert "Give points in every row" in response.text
    assert "Kept on the page." in response.text
    assert not Mark.objects.exists()


def test_other_window_shows_both(piece, as_alice):
    send(as_alice, piece, 15, 5, said="First window.")
    response = send(as_alice, piece, 12, 5, said="Second window.", version=0)
    assert response.status_code == 409
    assert "First window." in response.text
    assert "Second window.</textarea>" in response.text
    assert 'name="version" value="1"' in response.text
    assert Mark.objects.get().points == [15, 5]


def test_sending_the_same_again_is_fine(piece, as_alice):
    send(as_alice, piece, 15, 5)
    assert send(as_alice, piece, 15, 5, version=0).status_code == 302


@pytest.mark.parametrize("do", ["", "bogus", "reopen", "withdraw"])
def test_what_can_not_be_done_is_refused(piece, as_alice, do):
    for accept in ("text/html", "application/json"):
        response = send(as_alice, piece, 15, 5, do=do, accept=accept)
        assert response.status_code == 422
    assert not Mark.objects.exists()


@pytest.mark.parametrize("version", ["", "-1", "one", "9" * 5000])
def test_version_that_is_none_changes_nothing(piece, as_alice, version):
    send(as_alice, piece, 15, 5)
    assert send(as_alice, piece, 1, 1, version=version).status_code == 409
    assert Mark.objects.get().points == [15, 5]


def test_other_mentor_finds_it_taken_and_loses_no_word(piece, as_alice, as_ada):
    send(as_alice, piece, 15, 5, said=FIRST_SAYS)
    response = send(as_ada, piece, 12, 4, said="Written in vain.", whole="All of it.")
    assert response.status_code == 422
    assert "What you wrote was not saved" in response.text
    assert "Written in vain." in response.text
    assert "All of it." in response.text
    assert FIRST_SAYS not in response.text
    assert Mark.objects.get().points == [15, 5]
    assert not is_listed(as_ada, piece)


def test_page_that_was_made_for_another_mark_is_not_saved_as_this_one(asked, as_ada):
    """Two windows of the second marker: one finishes, so the other would write the agreed mark."""
    send(as_ada, asked, 12, 9, do="final")
    data = {"part": "second", "version": 0, "points-0": 3, "comment-0": "Too late."}
    response = as_ada.post(address(asked), data)
    assert response.status_code == 422
    assert "another mark that you write here" in response.text
    assert "Too late.</textarea>" in response.text
    assert not Mark.objects.filter(part="agreed").exists()


# --- handing back


def give_back(client, piece, *points, capture, **more):
    with capture(execute=True):
        return send(client, piece, *points, do="return", **more)


def test_mark_is_returned(
    piece, alice, as_alice, as_bob, django_capture_on_commit_callbacks
):
    result = f"/attempts/{piece.pk}/result/"
    send(as_alice, piece, 15, 5, said=FIRST_SAYS)
    page = as_bob.get(result).text
    assert "Not marked yet" in page
    assert FIRST_SAYS not in page
    capture = django_capture_on_commit_callbacks
    give_back(as_alice, piece, 16, 5, said=FIRST_SAYS, version=1, capture=capture)
    page = as_bob.get(result).text
    assert "Marked: 21 of 30 points" in page
    assert FIRST_SAYS in page
    assert "Marked by Alice Mentor." in page
    (sent,) = mail.outbox
    assert sent.to == ["bob@example.org"]
    assert f"http://testserver{result}" in sent.body
    assert FIRST_SAYS not in sent.body
    grade = Grade.objects.get()
    assert (grade.share, grade.pairs_agreed, grade.pairs_counted) == (0.7, 21, 30)
    revision = Revision.objects.get()
    assert (revision.graded, revision.share_sum) == (1, 0.7)
    assert is_listed(as_alice, piece, "returned")
    for name in ("waiting", "mine", "second"):
        assert not is_listed(as_alice, piece, name)


def test_returned_mark_stands_on_the_record(revision, piece, as_alice, as_bob):
    send(as_alice, piece, 16, 5, do="return")
    for place in ("/record/", f"/classes/{revision.exercise_id}/"):
        assert "21 of 30 points" in as_bob.get(place).text
    assert "Marked: 21 of 30 points." in as_bob.get("/").text


def test_mark_is_returned_once(piece, as_alice, django_capture_on_commit_callbacks):
    capture = django_capture_on_commit_callbacks
    give_back(as_alice, piece, 16, 5, capture=capture)
    response = give_back(as_alice, piece, 1, 1, version=1, capture=capture)
    assert response.status_code == 422
    assert len(mail.outbox) == 1
    assert Revision.objects.get().graded == 1
    assert Mark.objects.get().points == [16, 5]


def test_mail_that_can_not_be_sent_returns_the_mark_all_the_same(
    piece, as_alice, monkeypatch, caplog, django_capture_on_commit_callbacks
):
    def refuse(*args):
        raise ConnectionRefusedError

    monkeypatch.setattr("quizzes.marking.services.send_mail", refuse)
    capture = django_capture_on_commit_callbacks
    assert give_back(as_alice, piece, 16, 5, capture=capture).status_code == 302
    assert Mark.objects.returned().count() == 1
    assert "was not sent" in caplog.text


def test_critique_of_somebody_who_left_is_marked_without_a_mail(
    piece, bob, as_alice, django_capture_on_commit_callbacks
):
    bob.delete()
    assert "Somebody who has left" in queue(as_alice)
    capture = django_capture_on_commit_callbacks
    assert give_back(as_alice, piece, 16, 5, capture=capture).status_code == 302
    assert mail.outbox == []
    assert Grade.objects.get().share == 0.7


# --- the second marker


@pytest.fixture
def asked(piece, ada, as_alice):
    """A piece whose first marker asked for a second mark."""
    send(as_alice, piece, 17, 9, do="ask", said=FIRST_SAYS, whole="Alice, whole.")
    return piece


SECRETS = (
    FIRST_SAYS,
    "Alice, whole.",
    'value="17"',
    "17 of 20",
    "26 of 30",
    "<b>17</b>",
)


def says_nothing_of_the_first(page):
    return not any(secret in page for secret in SECRETS)


def test_asking_closes_the_first_mark(asked, as_alice):
    marks = {mark.part: mark for mark in Mark.objects.all()}
    assert marks["first"].is_final
    assert marks["second"].marker is None
    page = as_alice.get(address(asked)).text
    assert "no mentor has taken it yet" in page
    assert "Do without a second mark" in page
    assert 'name="points-0"' not in page
    assert send(as_alice, asked, 1, 1, version=1).status_code == 422


def test_second_marker_sees_nothing_of_the_first(asked, alice, as_alice, as_ada, ada):
    assert is_listed(as_ada, asked, "second")
    assert not is_listed(as_alice, asked, "second")
    pages = [as_ada.get(address(asked))]
    pages.append(send(as_ada, asked, 12, "", do="final"))
    send(as_ada, asked, 12, "", said="Ada says.")
    pages.append(as_ada.get(address(asked)))
    pages += [as_ada.get(f"/attempts/{asked.pk}/result/"), as_ada.get("/record/")]
    pages += [
        as_ada.get(f"/workshop/marking/?list={name}")
        for name in ("waiting", "mine", "second", "returned")
    ]
    room = f"/workshop/classes/{asked.revision.exercise_id}/attempts/"
    pages.append(as_ada.get(room))
    for response in pages:
        assert says_nothing_of_the_first(response.text)
    assert "Your mark, without seeing the first" in pages[0].text


def test_first_marker_sees_nothing_of_the_second(asked, as_alice, as_ada):
    send(as_ada, asked, 12, 4, said="Ada says.")
    page = as_alice.get(address(asked)).text
    assert "Ada says." not in page
    assert "12 of 20" not in page
    assert 'value="12"' not in page
    assert FIRST_SAYS in page
    assert "A second mark is being written." in page


def test_third_mentor_sees_neither(asked, as_ada, third):
    send(as_ada, asked, 12, 4, said="Ada says.")
    page = third.get(address(asked)).text
    assert says_nothing_of_the_first(page)
    assert "Ada says." not in page
    assert "You see the marks once they are returned" not in page
    assert send(third, asked, 1, 1).status_code == 422
    assert not is_listed(third, asked, "second")


def test_writer_sees_neither(asked, as_ada, as_bob):
    send(as_ada, asked, 12, 4, do="final", said="Ada says.")
    page = as_bob.get(f"/attempts/{asked.pk}/result/").text
    assert says_nothing_of_the_first(page)
    assert "Ada says." not in page
    assert "Not marked yet" in page


def test_both_final_are_shown_side_by_side(asked, as_alice, as_ada, third):
    send(as_ada, asked, 12, 9, do="final", said="Ada says.")
    for client in (as_alice, as_ada, third):
        page = client.get(address(asked)).text
        assert FIRST_SAYS in page
        assert "Ada says." in page
        assert "Weighted kappa, linear" in page
    page = as_alice.get(address(asked)).text
    assert 'name="points-1" value="9"' in page
    assert 'name="points-0" value' not in page
    assert "they agree on a mark" in third.get(address(asked)).text
    assert send(third, asked, 1, 1).status_code == 422


def test_agreed_mark_is_what_is_returned(asked, as_alice, as_ada, as_bob):
    send(as_ada, asked, 12, 9, do="final", said="Ada says.")
    send(as_alice, asked, 14, 9, said="Both say.")
    page = as_ada.get(address(asked)).text
    assert 'name="points-0" value="14"' in page
    send(as_ada, asked, 15, 9, version=1, do="return", said="Both say.")
    page = as_bob.get(f"/attempts/{asked.pk}/result/").text
    assert "Marked: 24 of 30 points" in page
    assert "Agreed by two mentors" in page
    assert FIRST_SAYS not in page
    assert Grade.objects.get().pairs_agreed == 24
    assert "Agreed: 24 of 30 points" in as_alice.get(address(asked)).text


def test_agreed_mark_written_by_both_at_once(asked, as_alice, as_ada):
    send(as_ada, asked, 12, 9, do="final")
    send(as_alice, asked, 14, 9, said="Alice proposes.")
    response = send(as_ada, asked, 13, 9, said="Ada proposes.")
    assert response.status_code == 409
    assert "Alice proposes." in response.text
    assert "Ada proposes.</textarea>" in response.text


def test_first_marker_can_not_return_while_a_second_mark_is_written(
    asked, as_alice, as_ada
):
    send(as_ada, asked, 12, 4)
    for do in ("return", "reopen", "withdraw", "ask"):
        response = as_alice.post(address(asked), {"do": do})
        assert "done any more" in response.text
    assert not Mark.objects.returned().exists()
    assert Mark.objects.count() == 2


def test_second_mark_is_done_without_and_the_first_changed(asked, as_alice, as_ada):
    as_alice.post(address(asked), {"do": "withdraw"})
    assert not is_listed(as_ada, asked, "second")
    assert says_nothing_of_the_first(as_ada.get(address(asked)).text)
    as_alice.post(address(asked), {"do": "reopen"})
    page = as_alice.get(address(asked)).text
    assert 'name="points-0" value="17"' in page
    send(as_alice, asked, 18, 9, version=1, do="return")
    assert Mark.objects.returned().get().points == [18, 9]


def test_alone_in_the_club_there_is_nobody_to_ask(piece, as_alice):
    assert "Ask for a second mark" not in as_alice.get(address(piece)).text
    response = send(as_alice, piece, 17, 9, do="ask")
    assert response.status_code == 422
    assert "no other mentor" in response.text
    assert not Mark.objects.exists()


def test_writer_who_teaches_too_is_not_asked_for_the_second_mark(
    revision, ada, as_alice, as_ada
):
    own = written(revision, ada)
    assert "Ask for a second mark" not in as_alice.get(address(own)).text
    assert as_ada.get(address(own)).status_code == 404


# --- markers who are gone


@pytest.mark.parametrize("how", ["erased", "left"])
def test_draft_of_a_marker_who_is_gone_is_taken_over_empty(
    piece, ada, as_alice, as_ada, how
):
    send(as_ada, piece, 12, "", said="Ada says.")
    assert not is_listed(as_alice, piece)
    go(ada, how)
    assert is_listed(as_alice, piece)
    page = as_alice.get(address(piece)).text
    assert "Ada says." not in page
    send(as_alice, piece, 15, 5)
    assert Mark.objects.get().points == [15, 5]
    assert Mark.objects.get().marker.name == "Alice Mentor"


def go(person, how):
    if how == "erased":
        person.delete()
    else:
        Membership.objects.filter(user=person).delete()


@pytest.mark.parametrize("how", ["erased", "left"])
def test_second_draft_of_a_marker_who_is_gone_is_wanted_again(
    asked, ada, as_ada, third, how
):
    send(as_ada, asked, 12, "", said="Ada says.")
    assert not is_listed(third, asked, "second")
    go(ada, how)
    assert is_listed(third, asked, "second")
    page = third.get(address(asked)).text
    assert "Ada says." not in page
    assert says_nothing_of_the_first(page)


@pytest.mark.parametrize("how", ["erased", "left"])
def test_marks_of_somebody_who_is_gone_are_agreed_by_another(
    asked, alice, as_ada, third, how
):
    send(as_ada, asked, 12, 9, do="final")
    go(alice, how)
    page = third.get(address(asked)).text
    assert ("a mentor who has left" in page) == (how == "erased")
    send(third, asked, 15, 9, do="return")
    assert Mark.objects.returned().get().points == [15, 9]


def test_final_mark_of_somebody_who_is_gone_is_returned_by_another(
    piece, alice, ada, as_alice, as_ada, as_bob
):
    send(as_alice, piece, 17, 9, do="ask")
    as_alice.post(address(piece), {"do": "withdraw"})
    alice.delete()
    as_ada.post(address(piece), {"do": "return"})
    page = as_bob.get(f"/attempts/{piece.pk}/result/").text
    assert "Marked by a mentor who has left." in page


def test_staff_marks_without_a_membership(piece, as_ada, as_alice):
    staff = UserFactory(is_staff=True)
    send(signed_in(staff), piece, 12, "")
    assert not is_listed(as_ada, piece)
    assert send(as_alice, piece, 1, 1).status_code == 422


# --- kappa between the two


def marked_twice(revision, one, other, first, second):
    attempt = written(revision, UserFactory())
    for part, marker, points in (("first", one, first), ("second", other, second)):
        Mark.objects.create(
            attempt=attempt,
            part=part,
            marker=marker,
            points=points,
            comments=[""] * len(points),
            state="final",
        )
    return attempt


def test_kappa_is_over_all_that_both_marked(club, alice, ada, as_alice):
    """The 4 by 4 table of Agresti (1990), as the library vcd of R prints its weighted kappa:
    linear .2373806, quadratic .3320456."""
    table = ((7, 7, 2, 3), (2, 8, 3, 7), (1, 5, 4, 9), (2, 8, 9, 14))
    pairs = [
        (one, other)
        for one, row in enumerate(table)
        for other, count in enumerate(row)
        for _each in range(count)
    ]
    revision = critique(club, key=key(*(3,) * 7))
    for at in range(0, len(pairs), 7):
        first, second = zip(*pairs[at : at + 7], strict=True)
        turned = bool(at % 2)
        markers = (ada, alice) if turned else (alice, ada)
        points = (second, first) if turned else (first, second)
        last = marked_twice(revision, *markers, *map(list, points))
    draft = marked_twice(revision, alice, ada, [0] * 7, [3] * 7)
    draft.marks.filter(part="second").update(state="draft")
    other = UserFactory()
    MembershipFactory(club=club, user=other, role=Role.MENTOR)
    marked_twice(revision, alice, other, [0] * 7, [3] * 7)
    page = as_alice.get(address(last)).text
    assert "13 critiques of this revision were marked by both: 91 rows, 33" in page
    assert ">0.24<" in page
    assert ">0.33<" in page


def test_kappa_that_is_not_defined_is_said_to_be_so(revision, alice, ada, as_alice):
    attempt = marked_twice(revision, alice, ada, [10, 10], [10, 10])
    page = as_alice.get(address(attempt)).text
    assert page.count("not defined</dd>") == 2
    assert "Kappa is not defined where both gave the same points" in page


def test_page_of_two_marks_asks_as_often_for_many_as_for_few(
    revision, alice, ada, as_alice
):
    counts = []
    for number in (1, 9):
        for _each in range(number):
            attempt = marked_twice(revision, alice, ada, [10, 5], [12, 5])
        as_alice.get(address(attempt))
        with CaptureQueriesContext(connection) as queries:
            as_alice.get(address(attempt))
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_no_page_says_that_anybody_is_qualified(asked, as_ada, as_alice, as_bob):
    send(as_ada, asked, 12, 9, do="final")
    pages = [as_alice.get(address(asked)), as_bob.get(f"/attempts/{asked.pk}/result/")]
    for response in pages:
        said = re.findall(r"[^.>]*qualified[^.<]*", response.text)
        assert said
        assert all("never say" in sentence for sentence in said)


def test_mark_belongs_to_its_revision(club, piece, alice, as_alice):
    """A rubric changed later leaves what was handed in before with the rubric it had."""
    later = critique(
        club,
        exercise=piece.revision.exercise,
        state="draft",
        number=2,
        key=key(50, 50, 50),
    )
    Revision.objects.filter(pk=piece.revision_id).update(state="superseded")
    Revision.objects.filter(pk=later.pk).update(
        state="published", published_at=timezone.now()
    )
    page = as_alice.get(address(piece)).text
    assert "Points, of 20" in page
    assert "Points, of 50" not in page
