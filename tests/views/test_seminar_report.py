"""The report for the club: the same as page, PDF and tables, without a name beside a result."""

import csv
import uuid
from datetime import timedelta
from io import BytesIO, StringIO

import openpyxl
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests.factories import UserFactory
from tests.placing import answer
from tests.seminars import attendee, seminar, sitting
from tests.sheets import right, sheet
from trainer.seminars import report_tables, sittings
from trainer.seminars.models import Feedback, Presence
from trainer.seminars.report import report

pytestmark = pytest.mark.django_db
BEGAN = timezone.now().replace(microsecond=0) - timedelta(hours=8)
HOSTILE = "=cmd|' /C calc'!A1 <b>x</b> \x07"
ORDERS = ("abcd", "abcd", "bacd", "badc", "bacd", "abdc")


@pytest.fixture
def held(club):
    return seminar(club, starts=BEGAN, parts=[(0, 3), (4, 6)], state="over")


@pytest.fixture
def as_organiser(client, organiser):
    client.force_login(organiser)
    return client


def came(held, n, **more):
    """People who were there for the first part."""
    made = [
        attendee(held, UserFactory(), **{"name": f"Zelda {at}", **more})
        for at in range(n)
    ]
    Presence.objects.bulk_create(
        Presence(attendee=one, in_at=BEGAN, out_at=BEGAN + timedelta(hours=3))
        for one in made
    )
    return made


def placed(held, people, orders=ORDERS, revision=None, answers=None, **more):
    """A class that those people placed, shown to the room."""
    now = timezone.now()
    made = sitting(held, revision, open=True, **more)
    given = answers or [answer(order) for order in orders]
    for who, one in zip(people, given, strict=False):
        hand = sittings.hand_of(made, who)
        sittings.take(hand, one, submission=uuid.uuid4(), now=now)
    sittings.close(made, now=now)
    return sittings.show(made, now=now)


def feedback(held, people, **more):
    for who in people:
        Feedback.objects.create(
            seminar=held, attendee=who, given_at=timezone.now(), **more
        )


def test_it_says_who_was_there_and_what_the_room_did(as_organiser, held):
    people = came(held, 6)
    attendee(held, name="Never came")
    made = placed(held, people)
    sittings.say(made, "Look at the blade.")
    page = as_organiser.get(f"/seminars/{held.pk}/report/").text
    assert "6 of 7 with a place were there. On average for 3 hours." in page
    # Three of six put 22 over 11, against the key.
    assert "3 of 6 as the key." in page
    assert "Look at the blade." in page
    assert "Kendall" in page
    found = report(held, timezone.now())["sittings"][0]
    pair = next(
        one for one in found["pairs"] if (one["upper"], one["lower"]) == (11, 22)
    )
    assert (pair["agreed"], pair["of"]) == (3, 6)
    assert pair["why"] == "11 beats 22."


def test_pairs_that_most_had_the_other_way_come_first_and_are_said(as_organiser, held):
    people = came(held, 6)
    placed(held, people, orders=("bacd",) * 5 + ("abcd",))
    found = report(held, timezone.now())["sittings"][0]
    first = found["pairs"][0]
    assert (first["upper"], first["lower"], first["wrong"]) == (11, 22, True)
    page = as_organiser.get(f"/seminars/{held.pk}/report/").text
    assert page.count("Most had it the other way.") == 1


def test_before_and_after_the_discussion_stand_beside_each_other(as_organiser, held):
    people = came(held, 6)
    now = timezone.now()
    first = sitting(held, open=True)
    for who, order in zip(people, ORDERS, strict=True):
        hand = sittings.hand_of(first, who)
        sittings.take(hand, answer(order), submission=uuid.uuid4(), now=now)
    sittings.close(first, now=now)
    second = sittings.start(sittings.again(first), now=now)
    for who in people:
        hand = sittings.hand_of(second, who)
        sittings.take(hand, answer(), submission=uuid.uuid4(), now=now)
    sittings.show(sittings.close(second, now=now), now=now)
    page = as_organiser.get(f"/seminars/{held.pk}/report/").text
    assert "the 6 who placed it twice" in page
    assert "95 % confidence" in page
    found = report(held, timezone.now())
    head, *rows = report_tables.tables(found)["classes"]
    told = dict(zip(head, rows[-1], strict=True))
    change = found["sittings"][-1]["figures"]
    assert (told["Counted"], told["Placed it twice"]) == (6, 6)
    assert told["After"] == told["Before"] + told["Change"] == 6
    assert told["Change, 95 % from"] == round(change["change_low"], 4)
    assert told["Kendall's W"] == 1


def test_of_too_few_nothing_is_told_in_any_form(as_organiser, held):
    placed(held, came(held, 3))
    page = as_organiser.get(f"/seminars/{held.pk}/report/").text
    assert "Too few to show without showing who." in page
    found = report_tables.tables(report(held, timezone.now()))
    assert len(found["orders"]) == len(found["pairs"]) == 1
    # How many answered is told, and nothing of what.
    assert found["classes"][1][1:] == [3, 0, *[""] * 12]


def test_no_name_stands_beside_a_result(held, club):
    people = came(held, 6)
    placed(held, people)
    made = sheet(club)
    placed(held, people, revision=made, answers=[right(made)] * 6)
    feedback(held, people, useful=4, good="Fine")
    found = report(held, timezone.now())
    tables = report_tables.tables(found)
    assert "Zelda" in str(tables.pop("attendance"))
    assert "Zelda" not in str(tables)
    assert "Zelda" not in str({**found, "attendance": ()})
    assert len(tables["answers"]) > 1


def test_comments_are_in_an_order_that_tells_nobody(held):
    people = came(held, 3)
    for who, words in zip(people, ("Zoo", "Ant", "Mole"), strict=True):
        feedback(held, [who], good=words, useful=5)
    told = report(held, timezone.now())["feedback"]
    assert told["good"] == ["Ant", "Mole", "Zoo"]
    assert not told["counts"]


def test_no_cell_is_a_formula(as_organiser, held):
    people = came(held, 6, name=HOSTILE, number="+1")
    placed(held, people, title=HOSTILE[:100])
    feedback(held, people, good=HOSTILE)
    url = f"/seminars/{held.pk}/report"
    book = openpyxl.load_workbook(BytesIO(as_organiser.get(f"{url}.xlsx").content))
    cells = [cell for page in book for row in page.iter_rows() for cell in row]
    assert not [cell for cell in cells if cell.data_type == "f"]
    assert [cell for cell in cells if str(cell.value).startswith("=cmd")]
    assert isinstance(book["Attendance"]["F2"].value, (int, float))
    for name in report_tables.NAMES:
        text = as_organiser.get(f"{url}/{name}.csv").content.decode("utf-8-sig")
        for row in csv.reader(StringIO(text)):
            assert not [cell for cell in row if cell.startswith(("=", "+", "@", "-"))]


def test_the_pdf_is_set_whatever_was_written(as_organiser, held, club):
    people = came(held, 6, name=HOSTILE + "W" * 80)
    placed(held, people, title=HOSTILE[:100])
    made = sheet(club)
    placed(held, people, revision=made, answers=[right(made)] * 6)
    feedback(held, people, useful=3, good=HOSTILE + "#panic()", better="[x] $y$\n\n- a")
    answer = as_organiser.get(f"/seminars/{held.pk}/report.pdf")
    assert answer.content.startswith(b"%PDF-")
    assert "no-store" in answer["Cache-Control"]


def test_a_seminar_that_nobody_came_to_has_a_report(as_organiser, club):
    held = seminar(club)
    url = f"/seminars/{held.pk}/report"
    for path in ("/", ".pdf", ".xlsx", "/pairs.csv"):
        assert as_organiser.get(url + path).status_code == 200
    assert as_organiser.get(f"{url}/passwords.csv").status_code == 404


def test_it_takes_as_many_queries_for_many(as_organiser, held):
    placed(held, came(held, 6))
    counts = {}
    for many in (6, 46):
        for path in ("/", "/", ".xlsx"):
            with CaptureQueriesContext(connection) as found:
                as_organiser.get(f"/seminars/{held.pk}/report{path}")
            counts[path, many] = len(found)
        feedback(held, came(held, 40), useful=3, good="Fine")
    assert counts["/", 46] == counts["/", 6]
    assert counts[".xlsx", 46] == counts[".xlsx", 6]


def test_a_sheet_tells_what_most_had_another_way_and_why(as_organiser, held, club):
    people, made = came(held, 6), sheet(club)
    wrong = right(made)
    row, key = next(iter(wrong["items"].items()))
    other = next(one for one in ("minor", "serious") if one != key)
    wrong = {"items": {**wrong["items"], row: other}}
    placed(held, people, revision=made, answers=[wrong] * 4 + [right(made)] * 2)
    first, *others = report(held, timezone.now())["sittings"][0]["rows"]
    assert (first["right"], first["of"], first["wrong"]) == (2, 6, True)
    assert first["other"]["count"] == 4
    assert not any(one["wrong"] or one["why"] for one in others)
    page = as_organiser.get(f"/seminars/{held.pk}/report/").text
    assert "2 of 6 as the key." in page
    assert "Most had it another way." in page
    pdf = as_organiser.get(f"/seminars/{held.pk}/report.pdf")
    assert pdf.content.startswith(b"%PDF-")
