"""Paper cards: typed in by a clerk, or taken from a table that is looked at first."""

import re

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from quizzes.models import Attempt
from tests.seminars import attendee, seminar, sitting
from trainer.seminars import services, sittings
from trainer.seminars.models import Hand, Sitting

pytestmark = pytest.mark.django_db


@pytest.fixture
def held(club, alice):
    return seminar(club, mentors=[alice])


@pytest.fixture
def opened(held):
    return sitting(held, open=True, seconds=300)


def shown(one):
    sittings.close(one, now=timezone.now())
    return sittings.show(Sitting.objects.get(pk=one.pk), now=timezone.now())


@pytest.fixture
def card(as_organiser, held, opened):
    return as_organiser, f"/seminars/{held.pk}/sittings/1/clerk/"


def test_a_clerk_types_cards_in(card, held, opened):
    client, url = card
    ann = attendee(held, name="Ann Marsh", number="17")
    said = client.post(url, {"who": "17", "placing": "11 22 33 44"}, follow=True)
    assert "Ann Marsh: 11-22-33-44. Next card." in said.text
    hand = Hand.objects.get()
    assert (hand.attendee, hand.is_late) == (ann, False)
    again = client.post(url, {"who": "ann", "placing": "44-33-22-11"})
    assert again.status_code == 422
    assert "is in already" in again.text


@pytest.mark.parametrize(
    ("who", "said"),
    [("", "Whose card"), ("Zoe", "Nobody on the roster"), ("A", "More than one")],
)
def test_a_card_of_nobody_is_not_kept(card, held, who, said):
    client, url = card
    attendee(held, name="Ann Marsh")
    attendee(held, name="Abe Lister")
    page = client.post(url, {"who": who, "placing": "11-22-33-44"})
    assert page.status_code == 422
    assert said in page.text
    assert "11-22-33-44" in page.text


def _sent(client, held, data, name):
    from django.core.files.uploadedfile import SimpleUploadedFile

    url = f"/seminars/{held.pk}/sittings/1/cards/"
    return client.post(url, {"table": SimpleUploadedFile(name, data)}), url


CARDS = [
    ["name", "placing", "rulings"],
    ["Ann Marsh", "11-22-33-44", ""],
    ["Nobody", "11-22-33-44", ""],
    [17, "22-11-44", "33 excused"],
    ["Ann Marsh", "44-33-22-11", ""],
    ["Ann Marsh", "11-22-99", ""],
]


def _as_xlsx():
    from io import BytesIO

    from openpyxl import Workbook

    book, out = Workbook(), BytesIO()
    for row in CARDS:
        book.active.append(row)
    book.save(out)
    return out.getvalue()


def _as_csv():
    return "\n".join(",".join(map(str, row)) for row in CARDS).encode()


@pytest.mark.parametrize(
    ("data", "name"), [(_as_csv, "cards.csv"), (_as_xlsx, "cards.xlsx")]
)
def test_cards_of_a_table_are_looked_at_before_they_are_kept(card, held, data, name):
    client, _url = card
    attendee(held, name="Ann Marsh")
    attendee(held, name="Ben Holt", number="17")
    page, url = _sent(client, held, data(), name)
    assert "2 cards would be kept" in page.text
    assert "Line 3, Nobody: Nobody on the roster" in page.text
    assert "Line 5, Ann Marsh: The same person as in line 2." in page.text
    assert "Line 6, Ann Marsh" in page.text
    assert not Hand.objects.handed_in().exists()
    rows = re.search(r'name="rows" value="([^"]+)"', page.text)[1]
    assert "2 cards are in." in client.post(url, {"rows": rows}, follow=True).text
    assert Hand.objects.handed_in().count() == 2
    assert "0 cards are in." in client.post(url, {"rows": rows}, follow=True).text
    wrong = client.post(url, {"rows": f"{rows}x"}, follow=True)
    assert "Choose the file again." in wrong.text


def test_what_is_no_table_of_cards_is_said(card, held):
    client, _url = card
    for data, name, said in [
        (b"who,what\n1,2\n", "a.csv", "name"),
        (b"PK broken", "a.xlsx", "read"),
    ]:
        page, _ = _sent(client, held, data, name)
        assert page.status_code == 422
        assert said in page.text


def test_a_card_of_somebody_without_an_account_counts_and_is_in_no_record(
    card, held, opened
):
    client, url = card
    services.add_to_roster(held, name="Ann Marsh", now=timezone.now())
    client.post(url, {"who": "Ann Marsh", "placing": "11-22-33-44"})
    assert shown(opened).result["counted"] == 1
    assert not Attempt.objects.exists()


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("11223344", "11-22-33-44"),
        ("11 22 33 44", "11-22-33-44"),
        ("44.33.22.11", "44-33-22-11"),
    ],
)
def test_numbers_are_read_without_anything_between_them(
    card, held, opened, typed, read
):
    client, url = card
    attendee(held, name="Ann Marsh", number="17")
    said = client.post(url, {"who": "17", "placing": typed}, follow=True).text
    assert f"Ann Marsh: {read}. Next card." in said


def test_numbers_that_can_be_read_in_two_ways_are_asked_for_again():
    """1, 11 and 2: 1112 may be 1-11-2 or 11-1-2."""
    from quizzes.kinds.placing.in_room import read_card

    worn = {"a": 1, "b": 11, "c": 2}
    with pytest.raises(ValidationError):
        read_card(worn, "1112")
    assert read_card(worn, "112")["order"] == ["b", "c"]
