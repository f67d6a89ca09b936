"""Certificates of attendance: issued, numbered, withdrawn, issued anew, checked by anybody, set as PDFs."""

import re
from datetime import timedelta
from io import BytesIO

import pytest
from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.db import IntegrityError
from django.utils import timezone
from PIL import Image

from tests.factories import UserFactory
from tests.seminars import attendee, seminar
from trainer.seminars import certifying, services
from trainer.seminars.models import Certificate, Presence, Seminar

pytestmark = pytest.mark.django_db
BEGAN = timezone.now().replace(microsecond=0) - timedelta(hours=8)
HOSTILE = '=1+1 <b>"Ann"</b> #panic("x") $y$ \u202e @a {{ name }} ' + "W" * 50


@pytest.fixture
def held(club):
    """A seminar of six hours in two parts that is over."""
    return seminar(club, starts=BEGAN, parts=[(0, 3), (4, 6)], state=Seminar.State.OVER)


def came(held, hours=6.0, **more):
    """Somebody who was there from the beginning for so many hours."""
    one = attendee(held, **more)
    Presence.objects.create(
        attendee=one, in_at=BEGAN, out_at=BEGAN + timedelta(hours=hours)
    )
    return one


@pytest.fixture
def as_organiser(client, organiser):
    client.force_login(organiser)
    return client


def issued(held, organiser, **more):
    return certifying.issue(held, by=organiser, now=timezone.now(), **more)


def test_whoever_was_there_gets_one_with_their_hours(held, organiser):
    held.certificate_words = "With thanks."
    whole, half = came(held, name="Ann"), came(held, 2.6, name="Ben")
    attendee(held, name="Never came")
    made = issued(held, organiser)
    assert [one.attendee for one in made] == [whole, half]
    assert [one.number for one in made] == [1, 2]
    assert made[0].says["hours"] == 5
    assert made[1].says["parts"] == [{"title": "Part 1", "who": "", "hours": 2.5}]
    assert made[0].says["words"] == "With thanks."
    assert "no qualification" in made[0].says["claim"]
    assert issued(held, organiser) == []


def test_numbers_go_on_within_the_club(held, club, other_club, organiser):
    came(held)
    issued(held, organiser)
    second = seminar(club, starts=BEGAN, state="over")
    elsewhere = seminar(other_club, starts=BEGAN, state="over")
    for one in (second, elsewhere):
        came(one)
    assert [issued(one, organiser)[0].number for one in (second, elsewhere)] == [2, 1]


@pytest.mark.parametrize("state", ["prepared", "announced", "called_off"])
def test_nothing_is_certified_before_it_is_over(club, organiser, state):
    held = seminar(club, starts=BEGAN, state=state)
    came(held)
    with pytest.raises(ValidationError):
        issued(held, organiser)


def test_nobody_has_two_that_hold(held, organiser):
    came(held)
    (one,) = issued(held, organiser)
    one.pk, one.code = None, "other"
    with pytest.raises(IntegrityError):
        one.save()


def test_it_is_withdrawn_with_a_reason_and_issued_anew_with_what_holds_now(
    held, organiser
):
    who = came(held)
    (old,) = issued(held, organiser)
    stay = who.stays.get()
    services.correct(
        stay,
        in_at=BEGAN,
        out_at=BEGAN + timedelta(hours=1),
        note="left",
        by=organiser,
    )
    given = {"by": organiser, "now": timezone.now()}
    with pytest.raises(ValidationError, match="Say why"):
        certifying.withdraw(old, " ", **given)
    new = certifying.issue_anew(old, "Hours were wrong", **given)
    old.refresh_from_db()
    assert (old.says["hours"], old.why_withdrawn) == (5, "Hours were wrong")
    assert (new.number, new.says["hours"]) == (2, 1)
    assert new.code != old.code
    with pytest.raises(ValidationError, match="already"):
        certifying.withdraw(old, "again", **given)


def test_without_hours_it_is_not_issued_anew_and_stays(held, organiser):
    who = came(held)
    (old,) = issued(held, organiser)
    who.stays.all().delete()
    with pytest.raises(ValidationError, match="no hours"):
        certifying.issue_anew(old, "wrong", by=organiser, now=timezone.now())
    old.refresh_from_db()
    assert old.withdrawn_at is None


def test_the_organiser_issues_looks_withdraws_and_issues_anew(as_organiser, held):
    came(held, name="Ann")
    url = f"/seminars/{held.pk}/certificates/"
    assert "Issue for Ann" in as_organiser.get(url).text
    page = as_organiser.post(f"{url}issue/", follow=True)
    assert "1 certificate is issued." in page.text
    assert "Number 1, PDF" in page.text
    page = as_organiser.post(f"{url}1/withdraw/", {"do": "withdraw"})
    assert page.status_code == 422
    sent = {"do": "anew", "why": "Name misspelt"}
    page = as_organiser.post(f"{url}1/withdraw/", sent, follow=True)
    assert "Number 1 is withdrawn, number 2 issued." in page.text
    assert "Number 1, withdrawn" in page.text
    assert "Name misspelt" in as_organiser.get(f"{url}1/withdraw/").text


def test_the_list_says_where_something_was_corrected_since(as_organiser, held):
    who = came(held, name="Anne")
    as_organiser.post(f"/seminars/{held.pk}/certificates/issue/")
    url = f"/seminars/{held.pk}/certificates/"
    assert "are others by now" not in as_organiser.get(url).text
    who.name = "Ann"
    who.save()
    assert "are others by now" in as_organiser.get(url).text


@pytest.mark.parametrize("many", [2, 25])
def test_the_list_takes_as_many_queries_for_many(
    as_organiser, held, many, django_assert_num_queries
):
    for _ in range(many):
        came(held)
    as_organiser.post(f"/seminars/{held.pk}/certificates/issue/")
    as_organiser.get(f"/seminars/{held.pk}/certificates/")
    with django_assert_num_queries(14):
        as_organiser.get(f"/seminars/{held.pk}/certificates/")


@pytest.mark.parametrize("many", [1, 25])
def test_issuing_takes_as_many_queries_for_many(
    held, organiser, many, django_assert_max_num_queries
):
    for _ in range(many):
        came(held)
    with django_assert_max_num_queries(11):
        issued(held, organiser)


def test_anybody_with_the_code_sees_what_it_shows_and_no_more(client, held, organiser):
    who = came(held, name="Ann", number="J-17", email="ann@example.org")
    (one,) = issued(held, organiser)
    page = client.get(f"/seminars/certificates/{one.code}/")
    assert "noindex" in page["X-Robots-Tag"]
    for said in ("Ann", "it holds", "5 hours", "Number 1", "no qualification"):
        assert said in page.text
    for hidden in ("J-17", "ann@example.org", who.code):
        assert hidden not in page.text
    certifying.withdraw(one, "Wrong day", by=organiser, now=timezone.now())
    page = client.get(f"/seminars/certificates/{one.code}/")
    assert "It holds no more." in page.text
    assert "Wrong day" in page.text


def said_of(client, code):
    """The page without its tokens and its own address."""
    text = client.get(f"/seminars/certificates/{code}/").text
    text = re.sub(r'name="csrfmiddlewaretoken" value="\w+"', "", text)
    return (
        text.replace(code, "CODE")
        if len(code) > 9
        else re.sub(f"/{code}/", "/CODE/", text)
    )


def test_every_unknown_code_is_the_same_404_and_guessing_ends(client):
    cache.clear()
    codes = ("1", "x" * 40, "2" * 400)
    pages = {said_of(client, code) for code in codes}
    assert len(pages) == 1
    tries = [client.get(f"/seminars/certificates/{n}/").status_code for n in range(40)]
    assert tries[0] == 404
    assert tries[-1] == 429
    cache.clear()


def test_one_takes_home_ones_own(client, held, organiser):
    who, other = came(held), came(held)
    url = f"/seminars/{held.pk}/my-certificate.pdf"
    client.force_login(who.person)
    assert client.get(url).status_code == 404
    issued(held, organiser)
    answer = client.get(url)
    assert answer.content.startswith(b"%PDF-")
    assert "no-store" in answer["Cache-Control"]
    client.force_login(UserFactory())
    assert client.get(url).status_code == 404
    assert other.certificates.get().number != who.certificates.get().number


def test_any_name_is_set_and_shown_as_text(as_organiser, client, held, organiser):
    held.certificate_words = HOSTILE * 3
    held.save()
    who = came(held, name=HOSTILE[:120])
    issued(held, organiser)
    answer = as_organiser.get(f"/seminars/{held.pk}/certificates/1.pdf")
    assert answer.content.startswith(b"%PDF-")
    page = client.get(f"/seminars/certificates/{who.certificates.get().code}/")
    assert "&lt;b&gt;" in page.text
    assert "<b>&quot;Ann" not in page.text


def test_all_of_them_are_one_pdf(as_organiser, held, organiser):
    for _ in range(3):
        came(held)
    issued(held, organiser)
    answer = as_organiser.get(f"/seminars/{held.pk}/certificates/all.pdf")
    assert answer.content.startswith(b"%PDF-")


def picture(size=(500, 400), form="PNG"):
    out = BytesIO()
    Image.new("RGB", size, "navy").save(out, form)
    out.seek(0)
    out.name = f"emblem.{form.lower()}"
    return out


def test_an_emblem_is_encoded_anew_and_stays_once_certificates_are_issued(
    as_organiser, held, organiser
):
    url = f"/seminars/{held.pk}/certificates/emblem/"
    bad = BytesIO(b"<svg onload='alert(1)'/>")
    bad.name = "emblem.svg"
    assert as_organiser.post(url, {"file": bad}).status_code == 422
    assert as_organiser.post(url, {"file": picture()}).status_code == 302
    held.refresh_from_db()
    assert 0 < len(held.emblem) < 60_000
    came(held)
    issued(held, organiser)
    pdf = as_organiser.get(f"/seminars/{held.pk}/certificates/1.pdf")
    assert pdf.content.startswith(b"%PDF-")
    as_organiser.post(url, {})
    held.refresh_from_db()
    assert held.emblem


def test_a_name_that_was_taken_out_is_said_and_nothing_else(client, held, organiser):
    from trainer.seminars.erasing import erase

    who = came(held, name="Ann Gone")
    (one,) = issued(held, organiser)
    erase(who.person, timezone.now())
    page = client.get(f"/seminars/certificates/{one.code}/")
    assert "Ann Gone" not in page.text
    assert "taken out" in page.text
    client.force_login(organiser)
    assert client.get(f"/seminars/{held.pk}/certificates/1.pdf").status_code == 404
    assert Certificate.objects.count() == 1
