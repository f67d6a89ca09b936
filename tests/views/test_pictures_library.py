"""The mentors' library of photographs: taking in, describing, changing, measuring."""

import json
from datetime import timedelta
from io import BytesIO

import pytest
from django.core import mail
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from PIL import Image

from tests.conftest import signed_in
from tests.factories import MembershipFactory
from tests.models.test_pictures import keep, sent
from tests.photographs import (
    PLACE,
    PictureFactory,
    avif,
    camera_exif,
    encoded,
    heif,
    jpeg,
    picture,
    png_header,
    rights_xmp,
    upload,
)
from trainer.clubs.models import Role
from trainer.pictures import services
from trainer.pictures.models import Licence, Picture

JSON = {"headers": {"accept": "application/json"}}


def page_of(found, more=""):
    return f"/pictures/{found.public_id}/{more}"


@pytest.fixture
def own(club, alice):
    """A photograph that waits for consent."""
    (found,) = keep(
        club, alice, sent(data=jpeg(exif=camera_exif(Artist="Ada Lens")), agreed=False)
    )
    return found


@pytest.fixture
def kept(club, alice):
    (found,) = keep(club, alice, sent(data=jpeg(1000, 800), credit="A. Lens"))
    return found


def take_in(client, club, *files, **more):
    data = {"club": club.pk, "photographs": list(files)}
    return client.post("/pictures/new/", data, **more)


# The list


def test_list_shows_the_clubs_photographs_and_the_own_that_wait(
    as_alice, alice, club, other_club
):
    shared = PictureFactory(club=club, title="Nell, standing")
    waiting = PictureFactory(club=club, uploaded_by=alice, uncleared=True)
    hidden = [
        PictureFactory(club=club, uncleared=True),
        PictureFactory(club=club, withdrawn=True),
        PictureFactory(club=other_club),
    ]
    page = as_alice.get("/pictures/").text
    assert "Nell, standing" in page
    assert page_of(shared) in page
    assert page_of(waiting) in page
    assert "Consent needed (1)" in page
    assert not [one for one in hidden if page_of(one) in page]


def test_list_can_be_narrowed_to_what_waits(as_alice, alice, club):
    shared = PictureFactory(club=club)
    waiting = PictureFactory(club=club, uploaded_by=alice, uncleared=True)
    page = as_alice.get("/pictures/?needs=consent").text
    assert page_of(waiting) in page
    assert page_of(shared) not in page
    assert page_of(shared) in as_alice.get("/pictures/?needs=nonsense").text


def test_list_without_photographs_says_how_to_begin(as_alice):
    assert "No photographs yet" in as_alice.get("/pictures/").text
    nothing = as_alice.get("/pictures/?needs=consent").text
    assert "Nothing waits for consent" in nothing


def test_list_is_paged_and_asks_no_more_for_many(
    as_alice, club, alice, django_assert_num_queries
):
    as_alice.get("/pictures/")
    PictureFactory.create_batch(2, club=club, uploaded_by=alice)
    with CaptureQueriesContext(connection) as few:
        as_alice.get("/pictures/")
    PictureFactory.create_batch(28, club=club, uploaded_by=alice)
    with django_assert_num_queries(len(few)):
        page = as_alice.get("/pictures/")
    assert page.text.count("picture-card-name") == 24
    assert "Page 1 of 2" in page.text
    assert as_alice.get("/pictures/?page=2").text.count("picture-card-name") == 6
    assert as_alice.get("/pictures/?page=nonsense").status_code == 200


@pytest.mark.parametrize(
    ("words", "finds"),
    [
        ("nell", True),
        ("STANDING", True),
        ("brown", True),
        ("lens", True),
        ("tarn", True),
        ("moss", False),
        ("%", False),
        ("'; --", False),
    ],
)
def test_list_is_searched(as_alice, club, words, finds):
    found = PictureFactory(
        club=club,
        title="Nell, standing",
        alt="A brown bitch",
        credit="Photo: Ada Lens",
        rights_holder="Tarn Press",
    )
    page = as_alice.get("/pictures/", {"q": words}).text
    assert (page_of(found) in page) == finds
    assert ("No photograph says that" in page) != finds


def test_title_is_text(as_alice, club):
    PictureFactory(club=club, title="<script>alert(1)</script>")
    page = as_alice.get("/pictures/").text
    assert "<script>alert(1)" not in page
    assert "&lt;script&gt;alert(1)" in page


# Taking in


def test_many_are_taken_in_by_a_plain_form(as_alice, alice, club):
    files = [
        upload(),
        upload(encoded(picture(), "PNG"), "b.png"),
        upload(encoded(picture(), "WEBP"), "c.webp"),
        upload(avif(), "d.avif"),
        upload(heif(), "e.heic"),
    ]
    answered = take_in(as_alice, club, *files, follow=True)
    assert answered.redirect_chain == [("/pictures/?needs=consent", 302)]
    assert "5 photographs are taken in. Now say whose they are." in answered.text
    assert club.pictures.count() == 5
    for found in club.pictures.all():
        assert found.uploaded_by == alice
        assert not found.is_cleared
        assert Image.open(found.large).format == "JPEG"


def test_one_leads_to_its_page(as_alice, club):
    answered = take_in(as_alice, club, upload())
    assert answered.url == page_of(club.pictures.get())


def test_one_bad_file_does_not_cost_the_others(as_alice, club):
    answered = take_in(
        as_alice,
        club,
        upload(name="good.jpg"),
        upload(b"<html>", "bad.jpg"),
        upload(png_header(20000, 20000), "bomb.png"),
        upload(jpeg()[:2000], "half.jpg"),
    )
    assert answered.status_code == 422
    assert club.pictures.count() == 1
    for words in (
        "Not every file could be taken in",
        "<b>bad.jpg</b>: This is no photograph",
        "<b>bomb.png</b>: The photograph has more than 40 million pixels",
        "<b>half.jpg</b>: The photograph is damaged",
        f'<b>good.jpg</b>: <a href="{page_of(club.pictures.get())}">taken in',
    ):
        assert words in answered.text


def test_plain_form_says_how_much_fits(as_alice, settings):
    settings.REQUEST_BODY_LIMIT = 3 * 1024 * 1024
    assert "may have up to 3 MB" in as_alice.get("/pictures/new/").text


def test_nothing_chosen_is_said(as_alice, club):
    answered = as_alice.post("/pictures/new/", {"club": club.pk})
    assert answered.status_code == 422
    assert "Choose one photograph or more." in answered.text


def test_script_gets_what_became_of_each_file(as_alice, club):
    good = take_in(as_alice, club, upload(), **JSON)
    found = club.pictures.get()
    assert good.json() == {
        "href": page_of(found),
        "image": f"/pictures/{found.public_id}/small.jpg",
    }
    bad = take_in(as_alice, club, upload(b"<html>", "bad.jpg"), **JSON)
    assert bad.status_code == 422
    assert bad.json()["error"].startswith("This is no photograph")
    none = as_alice.post("/pictures/new/", {"club": club.pk}, **JSON)
    assert none.json() == {"error": "Choose one photograph or more."}


def test_same_file_is_not_taken_in_twice(as_alice, club):
    take_in(as_alice, club, upload())
    again = take_in(as_alice, club, upload(name="other.jpg"))
    assert again.status_code == 422
    assert "This file is in the library already." in again.text
    assert club.pictures.count() == 1


def test_twin_that_the_person_cannot_see_is_not_told(as_alice, club):
    colleague = MembershipFactory(club=club, role=Role.MENTOR).user
    keep(club, colleague, sent(agreed=False))
    assert take_in(as_alice, club, upload()).status_code == 302


def test_full_club_is_said_at_the_file(as_alice, club, settings):
    settings.PICTURES_PER_CLUB = 1
    answered = take_in(
        as_alice, club, upload(), upload(jpeg(500, 300), name="second.jpg")
    )
    assert "<b>second.jpg</b>: The club may keep 1 photographs" in answered.text
    assert club.pictures.count() == 1


def test_photographs_go_only_to_clubs_the_person_teaches_in(
    as_alice, alice, as_bob, club, other_club
):
    assert take_in(as_alice, other_club, upload()).status_code == 422
    MembershipFactory(user=alice, club=other_club, role=Role.TRAINEE)
    assert take_in(as_alice, other_club, upload()).status_code == 422
    assert take_in(as_bob, club, upload()).status_code == 404
    assert not Picture.objects.exists()
    MembershipFactory(user=alice, club=other_club, role=Role.MENTOR)
    assert take_in(as_alice, other_club, upload()).status_code == 302
    assert 'name="club"' in as_alice.get("/pictures/new/").text


# The page of one


def test_rights_in_the_file_are_shown_to_be_confirmed(as_alice, own):
    page = as_alice.get(page_of(own)).text
    assert "What the file said" in page
    assert "<dt>Made by</dt><dd>Ada Lens</dd>" in page
    assert 'name="credit" value="Ada Lens"' in page
    assert "Only you see it" in page
    assert PLACE not in page


def test_file_that_said_nothing(as_alice, kept):
    assert "Nothing about whose it is." in as_alice.get(page_of(kept)).text


def test_everything_a_file_can_say_is_shown_as_text(as_alice, club, alice):
    told = rights_xmp(
        "<photoshop:Credit>&lt;b&gt;Press&lt;/b&gt;</photoshop:Credit>",
        "<xmpRights:WebStatement>https://lens.example</xmpRights:WebStatement>",
        '<plus:DataMining rdf:resource="http://ns.useplus.org/ldf/vocab/DMI-PROHIBITED"/>',
        "<ext:DigitalSourceType>x/trainedAlgorithmicMedia</ext:DigitalSourceType>",
    )
    (found,) = keep(club, alice, sent(data=jpeg(xmp=told), agreed=False))
    page = as_alice.get(page_of(found)).text
    for words in (
        "&lt;b&gt;Press&lt;/b&gt;",
        "https://lens.example",
        "DMI-PROHIBITED",
        "made by a program",
        "it shows nothing certain of how a dog is built",
    ):
        assert words in page


DETAILS = {
    "title": "Nell, standing",
    "alt": "A brown bitch from the left.",
    "credit": "Photo: Ada Lens",
    "rights_holder": "Ada Lens",
    "licence": "CC-BY-4.0",
    "made": "camera",
}


def test_the_tick_shares_the_photograph(as_alice, as_bob, alice, own):
    file = own.address("small")
    assert as_bob.get(file).status_code == 404
    answered = as_alice.post(page_of(own), {**DETAILS, "agreed": "on"}, follow=True)
    assert "Saved. Your club can use the photograph." in answered.text
    own.refresh_from_db()
    assert own.is_cleared
    assert own.consent_by == alice
    assert {name: getattr(own, name) for name in DETAILS} == DETAILS
    assert as_bob.get(file).status_code == 200
    assert "Alice Mentor on" in answered.text
    assert 'name="agreed"' not in answered.text


def test_without_the_tick_only_the_sender_sees_it(as_alice, as_bob, own):
    answered = as_alice.post(page_of(own), DETAILS, follow=True)
    assert "only you see it" in answered.text
    assert as_bob.get(own.address("small")).status_code == 404


def days(number):
    return timezone.localdate() + timedelta(days=number)


def test_consent_may_have_an_end(as_alice, as_bob, own):
    post = {**DETAILS, "agreed": "on", "consent_until": str(days(0))}
    as_alice.post(page_of(own), post)
    assert as_bob.get(own.address("small")).status_code == 200
    Picture.objects.update(consent_until=days(-1))
    own.refresh_from_db()
    assert not own.is_cleared
    assert as_bob.get(own.address("small")).status_code == 404
    assert "Consent needed (1)" in as_alice.get("/pictures/").text
    assert "What was agreed is over." in as_alice.get(page_of(own)).text


def test_end_that_is_past_is_refused(as_alice, own):
    post = {**DETAILS, "agreed": "on", "consent_until": str(days(-1))}
    answered = as_alice.post(page_of(own), post)
    assert answered.status_code == 422
    assert "That day is over." in answered.text


def test_what_is_over_is_prolonged_by_agreeing_anew(as_alice, as_bob, kept):
    first = kept.consent_at
    Picture.objects.update(consent_until=days(-1))
    later = {**DETAILS, "consent_until": str(days(9))}
    answered = as_alice.post(page_of(kept), later)
    assert answered.status_code == 422
    assert "What was agreed is over. Set the tick anew." in answered.text
    assert as_bob.get(kept.address("small")).status_code == 404
    assert as_alice.post(page_of(kept), {**later, "agreed": "on"}).status_code == 302
    kept.refresh_from_db()
    assert kept.is_cleared
    assert kept.consent_at > first
    assert as_bob.get(kept.address("small")).status_code == 200


def test_details_of_what_is_over_can_still_be_mended(as_alice, kept):
    Picture.objects.update(consent_until=days(-1))
    same = {**DETAILS, "consent_until": str(days(-1))}
    assert as_alice.post(page_of(kept), same).status_code == 302
    kept.refresh_from_db()
    assert (kept.title, kept.is_cleared) == ("Nell, standing", False)


@pytest.mark.parametrize("lacks", ["licence", "rights_holder"])
def test_the_tick_needs_to_know_how_and_whose(as_alice, own, lacks):
    answered = as_alice.post(page_of(own), {**DETAILS, "agreed": "on", lacks: ""})
    assert answered.status_code == 422
    assert f'href="#id_{lacks}"' in answered.text
    assert "Nell, standing" in answered.text
    own.refresh_from_db()
    assert (own.consent_at, own.title) == (None, "")


def test_licence_cannot_be_taken_away_from_what_is_shared(as_alice, kept):
    answered = as_alice.post(page_of(kept), {**DETAILS, "licence": ""})
    assert answered.status_code == 422
    kept.refresh_from_db()
    assert kept.is_cleared


def test_nonsense_is_refused(as_alice, own):
    bad = {"licence": "all mine", "made": "by magic", "title": "x" * 121}
    answered = as_alice.post(page_of(own), {**DETAILS, **bad})
    assert answered.status_code == 422
    for name in bad:
        assert f'href="#id_{name}"' in answered.text


def test_one_waiting_photograph_leads_to_the_next(as_alice, alice, club, own):
    (other,) = keep(club, alice, sent(data=jpeg(500, 400), agreed=False))
    post = {**DETAILS, "agreed": "on", "next": "1"}
    following = as_alice.post(page_of(own), post).url
    assert following == f"{page_of(other)}?as={own.public_id}"
    page = as_alice.get(following).text
    assert 'name="rights_holder" value="Ada Lens"' in page
    assert '<option value="CC-BY-4.0" selected>' in page
    assert 'name="title" value' not in page
    other.refresh_from_db()
    assert other.rights_holder == ""
    assert as_alice.post(page_of(other), post).url == page_of(other)


def test_rights_are_taken_over_from_nothing_out_of_reach(
    as_alice, own, other_club, kept
):
    own.rights_holder = ""
    own.save()
    theirs = PictureFactory(club=other_club, rights_holder="Somebody Else")
    for before in (theirs.public_id, "nonsense", own.public_id):
        page = as_alice.get(f"{page_of(own)}?as={before}")
        assert page.status_code == 200
        assert "Somebody Else" not in page.text
    mine = PictureFactory(club=own.club, rights_holder="Ada Lens", licence="CC0-1.0")
    page = as_alice.get(f"{page_of(kept)}?as={mine.public_id}").text
    assert '<option value="CC0-1.0" selected>' not in page


def test_colleague_edits_what_is_shared_and_not_what_waits(club, own, kept):
    cora = signed_in(MembershipFactory(club=club, role=Role.MENTOR).user)
    assert cora.get(page_of(own)).status_code == 404
    assert cora.post(page_of(own), DETAILS).status_code == 404
    assert cora.post(page_of(kept), DETAILS).status_code == 302
    kept.refresh_from_db()
    assert kept.title == "Nell, standing"


def test_paper_gets_the_largest_file(as_alice, club, alice):
    (found,) = keep(club, alice, sent(data=jpeg(3000, 1500)))
    answered = as_alice.get(f"/pictures/{found.public_id}/print.jpg")
    assert Image.open(BytesIO(answered.getvalue())).size == (2400, 1200)


# Tools


def change(client, found, tool, do="keep", edition=1, **more):
    post = {"edition": edition, "do": do, **more}
    return client.post(page_of(found, f"change/{tool}/"), post)


HALF = {"left": "0", "top": "0", "right": "50", "bottom": "50"}
SENT = {
    "crop": HALF,
    "straighten": {"degrees": "3"},
    "mirror": {},
    "cover": {name: [value] for name, value in HALF.items()},
}


@pytest.mark.parametrize(("tool", "numbers"), SENT.items(), ids=SENT)
def test_tool_shows_first_and_changes_then(as_alice, kept, tool, numbers):
    before = kept.large.name
    assert (
        "Put it in its place" not in as_alice.get(page_of(kept, f"change/{tool}/")).text
    )
    shown = change(as_alice, kept, tool, do="preview", **numbers)
    assert shown.status_code == 200
    assert "data:image/jpeg;base64," in shown.text
    assert "Put it in its place" in shown.text
    kept.refresh_from_db()
    assert (kept.large.name, kept.edition) == (before, 1)
    assert change(as_alice, kept, tool, **numbers).url == page_of(kept)
    kept.refresh_from_db()
    assert kept.edition == 2
    assert kept.large.name != before


BAD = {
    "crop without numbers": ("crop", {}, "This field is required"),
    "crop to nothing": ("crop", {**HALF, "right": "0"}, "left of the right one"),
    "crop inside out": ("crop", {**HALF, "top": "80"}, "upper above"),
    "crop too small": ("crop", {**HALF, "right": "10"}, "pixels. Leave at least 200"),
    "crop past the edge": ("crop", {**HALF, "right": "101"}, "less than or equal"),
    "crop to no number": ("crop", {**HALF, "right": "nan"}, "Enter a number"),
    "turned too far": ("straighten", {"degrees": "16"}, "less than or equal"),
    "turned by words": ("straighten", {"degrees": "a bit"}, "Enter a number"),
    "nothing to cover": ("cover", {}, "Say what to cover"),
    "half a rectangle": (
        "cover",
        {"left": "1", "top": "", "right": "9", "bottom": "9"},
        "Rectangle 1 needs four numbers",
    ),
    "rectangle inside out": (
        "cover",
        {"left": "9", "top": "1", "right": "1", "bottom": "9"},
        "Rectangle 1 needs four numbers",
    ),
    "too many rectangles": (
        "cover",
        {name: [value] * 11 for name, value in HALF.items()},
        "At most 10 rectangles",
    ),
    "uneven rows": ("cover", {**HALF, "left": []}, "Say what to cover"),
    "no edition": ("mirror", {"edition": ""}, "This field is required"),
}


@pytest.mark.parametrize("do", ["preview", "keep"])
@pytest.mark.parametrize(("tool", "numbers", "says"), BAD.values(), ids=BAD)
def test_bad_numbers_get_a_message_and_change_nothing(
    as_alice, kept, tool, numbers, says, do
):
    answered = change(as_alice, kept, tool, do=do, **numbers)
    assert answered.status_code == 422
    if tool != "mirror":
        assert says in answered.text
    kept.refresh_from_db()
    assert kept.edition == 1


def test_commas_are_taken_for_points(as_alice, kept):
    assert (
        change(as_alice, kept, "crop", **{**HALF, "right": "62,5"}).status_code == 302
    )
    kept.refresh_from_db()
    assert kept.width == 625


def test_change_of_an_edition_that_is_past_is_refused(as_alice, kept):
    change(as_alice, kept, "mirror")
    answered = change(as_alice, kept, "mirror")
    page = as_alice.get(answered.url).text
    assert "Somebody changed the photograph meanwhile." in page
    kept.refresh_from_db()
    assert kept.edition == 2


def test_licence_may_forbid_changed_copies(as_alice, kept):
    Picture.objects.filter(pk=kept.pk).update(licence=Licence.BY_ND)
    answered = change(as_alice, kept, "mirror")
    assert "does not allow changed copies" in as_alice.get(answered.url).text
    kept.refresh_from_db()
    assert kept.edition == 1


def test_file_that_is_gone_is_404(as_alice, kept):
    for file in kept.files:
        file.storage.delete(file.name)
    assert as_alice.get(page_of(kept, "change/mirror/")).status_code == 404
    assert change(as_alice, kept, "mirror").status_code == 404


def test_unknown_tool_is_404(as_alice, kept):
    assert as_alice.get(page_of(kept, "change/erase/")).status_code == 404


# Landmarks


def landmarks(client, found, edition=1, facing="left", **points):
    post = {"edition": edition, "facing": facing}
    for name, (x, y) in points.items():
        post |= {f"{name}-x": x, f"{name}-y": y}
    return client.post(page_of(found, "landmarks/"), post, follow=True)


ELBOW = {
    "scapula_top": (40, 25),
    "point_of_shoulder": (20, 50),
    "point_of_elbow": (40, 75),
}


def test_landmarks_give_angles(as_alice, kept):
    # On a picture of 1000 by 800, 20 across and 25 down are the same 200 pixels.
    page = landmarks(as_alice, kept, **ELBOW).text
    assert "Shoulder angle by hand" in page
    assert '<td class="number">90°</td>' in page
    assert '<td class="number">1.00</td>' in page
    assert 'name="scapula_top-x" value="40' in page
    kept.refresh_from_db()
    assert kept.landmarks["points"]["point_of_elbow"] == [40, 75]


def test_points_and_lines_are_drawn_without_scripts(as_alice, kept):
    page = landmarks(as_alice, kept, **ELBOW).text
    assert page.count('class="landmark"') == 3
    assert '<line x1="20.0%" y1="50.0%" x2="40.0%" y2="25.0%"/>' in page
    assert page.count("<line ") == 2
    refused = landmarks(as_alice, kept, **ELBOW, withers=(30, "")).text
    assert refused.count('class="landmark"') == 3
    assert "<line " not in refused


def test_two_lines_apart_are_not_joined(as_alice, kept):
    marks = {"ilium": (60, 30), "point_of_buttock": (80, 40)}
    marks |= {"hip_joint": (70, 45), "stifle": (60, 60)}
    page = landmarks(as_alice, kept, **marks).text
    assert "Pelvis to thigh" in page
    assert page.count("<line ") == 2


def test_page_says_what_a_photograph_can_measure(as_alice, kept):
    page = as_alice.get(page_of(kept, "landmarks/")).text
    assert "A photograph measures only what it shows" in page
    assert "Nothing yet." in page


def test_landmarks_are_taken_away_with_their_numbers(as_alice, kept):
    landmarks(as_alice, kept, **ELBOW)
    landmarks(as_alice, kept)
    kept.refresh_from_db()
    assert kept.landmarks == {}


GROUND = {"withers": (30, 20), "front_foot": (30, 90), "rear_foot": (80, 90)}


def test_height_and_ground_give_ratios(as_alice, kept):
    marks = {"point_of_shoulder": (20, 50), "point_of_buttock": (76, 50)}
    page = landmarks(as_alice, kept, **GROUND, **marks).text
    # 560 pixels long, 560 high.
    assert "Length to height, point of shoulder to point of buttock" in page
    assert '<td class="number">1.00</td>' in page


@pytest.mark.parametrize(
    ("post", "says"),
    [
        ({**GROUND, "facing": "right"}, "Is it the other way that the dog looks?"),
        ({**GROUND, "withers": (30, 95)}, "The withers have to be above the feet."),
        ({"withers": (30, "")}, "Withers, highest point needs two numbers."),
        ({"withers": (30, 101)}, "less than or equal to 100"),
        ({"withers": ("inf", 1)}, "Enter a number."),
        ({"facing": "up"}, "Select a valid choice"),
    ],
)
def test_bad_landmarks_get_a_message(as_alice, kept, post, says):
    answered = landmarks(as_alice, kept, **post)
    assert answered.status_code == 422
    assert says in answered.text
    kept.refresh_from_db()
    assert kept.landmarks == {}


def test_landmarks_of_a_past_edition_are_refused(as_alice, kept):
    change(as_alice, kept, "mirror")
    page = landmarks(as_alice, kept, **ELBOW).text
    assert "Somebody changed the photograph meanwhile." in page
    kept.refresh_from_db()
    assert kept.landmarks == {}


# Withdrawing


def test_withdrawing_tells_the_other_mentors(
    as_alice, club, kept, django_capture_on_commit_callbacks
):
    cora = MembershipFactory(club=club, role=Role.MENTOR).user
    with django_capture_on_commit_callbacks(execute=True):
        as_alice.post(page_of(kept, "withdraw/"))
    assert [message.to for message in mail.outbox] == [[cora.email]]
    assert "Alice Mentor" in mail.outbox[0].body


@pytest.mark.parametrize("more", ["", "landmarks/", "change/crop/", "print.jpg"])
def test_withdrawn_photograph_has_no_pages(as_alice, kept, more):
    services.withdraw(kept, now=timezone.now())
    assert as_alice.get(page_of(kept, more)).status_code == 404
    assert page_of(kept) not in as_alice.get("/pictures/").text


def test_sender_who_teaches_nowhere_withdraws_and_goes_home(as_bob, bob, club):
    own = PictureFactory(club=club, uploaded_by=bob)
    assert as_bob.get(page_of(own)).status_code == 200
    assert as_bob.post(page_of(own, "withdraw/")).url == "/"


def test_answers_to_the_script_are_json(as_alice, club):
    answered = take_in(as_alice, club, upload(), **JSON)
    assert answered.headers["Content-Type"] == "application/json"
    assert json.loads(answered.content)
