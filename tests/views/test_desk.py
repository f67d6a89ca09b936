"""The desk's pages: begun, written, saved in the background, put in order, published."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests.factories import (
    BreedFactory,
    DrawingFactory,
    MembershipFactory,
    ModuleFactory,
)
from trainer.clubs.models import Role
from trainer.study.desk import drafts, lessons
from trainer.study.desk.lacking import lacking_in
from trainer.study.models import Module
from trainer.study.parts import PARTS

DESK = "/workshop/modules/"
BACKGROUND = {"Accept": "application/json"}


@pytest.fixture
def module(club):
    return ModuleFactory(club=club)


@pytest.fixture
def draft(module, alice):
    return drafts.draft_of(module, by=alice, now=timezone.now())


def of(draft, rest=""):
    return f"{DESK}{draft.module_id}/{rest}"


def first(draft, part):
    return PARTS[part].of(draft).get(number=1)


def step_data(row, **changes):
    fields = {
        name: getattr(row, name) for name in ("name", "sense", "instruction", "version")
    }
    return fields | changes


# Begun


def begin(client, club, **more):
    data = {"club": club.pk, "breed": "Marsh Dog", "title": "Judging it"}
    return client.post(f"{DESK}new/", data | more)


def test_module_begins_with_nothing(as_alice, club):
    response = begin(as_alice, club, start="nothing")
    module = Module.objects.get()
    assert response.url == f"{DESK}{module.pk}/"
    page = as_alice.get(response.url).text
    assert "At least two priorities" in page
    assert "An introduction" in page
    assert "Publish as" not in page


def test_module_begins_as_a_copy(as_alice, club, module):
    begin(as_alice, club, start="copy", source=module.pk)
    made = Module.objects.get(breed__name="Marsh Dog")
    assert made.revisions.get().priorities.count() == 2


def test_new_module_page_leads_to_bundles(as_alice, club):
    assert 'href="/workshop/modules/bundles/"' in as_alice.get(f"{DESK}new/").text


# Written


def test_add_then_write_then_save(as_alice, draft):
    page = as_alice.post(of(draft, "terms/"), {"name": "brisket"})
    row = PARTS["terms"].of(draft).get()
    assert page.url == of(draft, f"terms/{row.pk}/")
    data = {"name": "brisket", "meaning": "The lowest of the chest.", "version": 1}
    onward = of(draft, "terms/")
    saved = as_alice.post(page.url, {**data, "onward": onward})
    assert saved.url == onward
    row.refresh_from_db()
    assert row.meaning == "The lowest of the chest."


@pytest.mark.parametrize("onward", ["https://elsewhere.example", "//elsewhere", "/x/"])
def test_saving_leads_nowhere_else(as_alice, draft, onward):
    row = first(draft, "steps")
    data = step_data(row, onward=onward)
    address = of(draft, f"steps/{row.pk}/")
    assert as_alice.post(address, data).url == address


def test_saving_in_the_background_says_so(as_alice, draft):
    row = first(draft, "steps")
    address, data = of(draft, f"steps/{row.pk}/"), step_data(row, name="Approach")
    answer = as_alice.post(address, data, headers=BACKGROUND).json()
    assert answer["version"] == 2
    assert answer["said"].startswith("Saved ")
    empty = as_alice.post(address, {**data, "name": ""}, headers=BACKGROUND)
    assert empty.status_code == 422
    assert empty.json()["said"].startswith("Not saved: Name: ")


def test_second_window_loses_nothing_and_sees_both(as_alice, draft):
    row = first(draft, "steps")
    address = of(draft, f"steps/{row.pk}/")
    as_alice.post(address, step_data(row, instruction="From the other window."))
    stale = step_data(row, instruction="From this window.")
    page = as_alice.post(address, stale)
    assert page.status_code == 409
    assert "From this window." in page.text
    assert "From the other window." in page.text
    assert as_alice.post(address, stale, headers=BACKGROUND).status_code == 409
    again = as_alice.post(address, {**stale, "version": 2})
    assert again.status_code == 302
    row.refresh_from_db()
    assert row.instruction == "From this window."


def test_somebody_who_is_still_writing_is_named(as_alice, alice, bob, draft):
    row = first(draft, "steps")
    address = of(draft, f"steps/{row.pk}/")
    now = timezone.now()
    for by, ago, named in ((bob, 1, True), (alice, 1, False), (bob, 30, False)):
        row.edited_by, row.edited_at = by, now - timedelta(minutes=ago)
        row.save()
        page = as_alice.get(address).text
        assert ("may still be writing" in page) is named


def test_words_for_a_row_that_is_gone_are_shown(as_alice, alice, draft):
    row = first(draft, "steps")
    address = of(draft, f"steps/{row.pk}/")
    drafts.remove_row(row, by=alice, now=timezone.now())
    page = as_alice.post(address, step_data(row, instruction="My long text."))
    assert page.status_code == 422
    assert "My long text." in page.text
    assert "taken out meanwhile" in page.text


def test_words_for_a_draft_that_was_published_are_shown(as_alice, draft):
    row = first(draft, "steps")
    draft.state, draft.published_at = "superseded", timezone.now()
    draft.save()
    page = as_alice.post(
        of(draft, f"steps/{row.pk}/"), step_data(row, instruction="My long text.")
    )
    assert page.status_code == 422
    assert "My long text." in page.text
    assert "stays as it is" in page.text


def test_phrases_are_kept_and_suggested(as_alice, draft):
    row = first(draft, "priorities")
    address = of(draft, f"priorities/{row.pk}/")
    data = {
        "name": "Shoulder",
        "version": 1,
        "plate_faults": ["F1"],
        "phrase_4": "blade well laid",
    }
    page = as_alice.post(address, {**data, "do": "suggest"}, follow=True)
    assert "blade well laid" in page.text
    assert "plainly straight shoulder" in page.text
    row.refresh_from_db()
    assert row.name == "Shoulder"
    as_alice.post(address, {**data, "version": row.version})
    texts = dict(row.phrases.values_list("level", "text"))
    assert texts == {4: "blade well laid"}


# Put in order


def test_rows_move_and_are_put_back(as_alice, draft):
    one = first(draft, "priorities")
    as_alice.post(of(draft, f"priorities/{one.pk}/move/"), {"to": "down"})
    one.refresh_from_db()
    assert one.number == 2
    as_alice.post(of(draft, f"priorities/{one.pk}/move/"), {"to": "1"})
    one.refresh_from_db()
    assert one.number == 1
    page = as_alice.post(of(draft, f"priorities/{one.pk}/remove/"), follow=True)
    assert "Put it back" in page.text
    gone = draft.removed.get()
    as_alice.post(of(draft, f"removed/{gone.pk}/put-back/"))
    assert PARTS["priorities"].of(draft).filter(name=one.name).exists()


def test_weights_by_hand_and_unseen_ones_are_kept(as_alice, draft):
    one, two = draft.priorities.order_by("number")
    was = f"{one.pk}:{one.weight},{two.pk}:{two.weight}"
    data = {"was": was, one.pk: 70, two.pk: 30}
    assert as_alice.post(of(draft, "weights/"), data).status_code == 302
    stale = as_alice.post(of(draft, "weights/"), {**data, one.pk: 60, two.pk: 40})
    assert stale.status_code == 422
    assert "theirs: 70" in stale.text
    one.refresh_from_db()
    assert one.weight == 70


# Published


def test_from_draft_to_force(as_alice, as_bob, draft):
    data = {
        "title": "A new title",
        "introduction": "What it is for.",
        "standard_title": "The standard",
        "standard_note": "The order is mine.",
        "examined": "table",
        "version": 1,
    }
    assert as_alice.post(of(draft, "about/"), data).status_code == 302
    preview = as_alice.get(f"{DESK}preview/{draft.module_id}/")
    assert "A new title" in preview.text
    assert f'href="{DESK}preview/{draft.module_id}/examination/"' in preview.text
    assert as_bob.get(f"{DESK}preview/{draft.module_id}/").status_code == 404
    assert "Publish as revision 2" in as_alice.get(of(draft)).text
    as_alice.post(of(draft, "publish/"))
    assert "A new title" in as_bob.get(f"/modules/{draft.module_id}/").text
    changes = as_alice.get(of(draft, "compare/")).text
    assert "<ins>A new title</ins>" in changes
    as_alice.post(of(draft, "withdraw/"))
    assert as_bob.get(f"/modules/{draft.module_id}/").status_code == 404


def test_pages_without_a_draft_lead_to_where_one_is_begun(as_alice, module):
    response = as_alice.get(f"{DESK}{module.pk}/steps/", follow=True)
    assert "Begin revision 2" in response.text


def test_breed_text_is_not_written_where_another_club_teaches_it(
    as_alice, club, other_club
):
    breed = BreedFactory(summary="As the first wrote it.")
    mine = ModuleFactory(club=club, breed=breed)
    ModuleFactory(club=other_club, breed=breed)
    as_alice.post(f"{DESK}{mine.pk}/begin/")
    assert 'name="summary"' not in as_alice.get(f"{DESK}{mine.pk}/about/").text
    data = {"title": "T", "examined": "ground", "version": 1, "summary": "Mine."}
    as_alice.post(f"{DESK}{mine.pk}/about/", data)
    breed.refresh_from_db()
    assert breed.summary == "As the first wrote it."


@pytest.mark.parametrize("part", [*PARTS])
def test_lists_ask_no_more_for_more_rows(as_alice, alice, draft, part):
    def queries():
        with CaptureQueriesContext(connection) as asked:
            as_alice.get(of(draft, f"{part}/"))
            as_alice.get(of(draft))
        return len(asked)

    def add():
        for number in range(4):
            name = f"Row {number}"
            drafts.add_row(draft, PARTS[part], by=alice, now=timezone.now(), name=name)

    add()
    as_alice.get(of(draft))
    before = queries()
    add()
    assert queries() == before


def test_desk_of_another_club_is_not_there(as_alice, alice, other_club):
    elsewhere = ModuleFactory(club=other_club)
    MembershipFactory(club=other_club, user=alice, role=Role.TRAINEE)
    assert as_alice.get(f"{DESK}{elsewhere.pk}/").status_code == 404
    form = as_alice.get(f"{DESK}new/").text
    assert str(elsewhere.breed) not in form


def test_kept_drawing_is_chosen_for_a_section(as_alice, alice, club, draft):
    kept = DrawingFactory(club=club, name="A straight shoulder")
    now = timezone.now()
    row = drafts.add_row(draft, PARTS["lessons"], by=alice, now=now, name="Blades")
    section = lessons.add_section(row, "picture", by=alice, now=now)
    address = of(draft, f"lessons/{row.pk}/sections/{section['id']}/")
    assert "A straight shoulder" in as_alice.get(address).text
    data = {"version": 1, "photo": f"drawing-{kept.pk}", "alt": "A dog."}
    assert as_alice.post(address, data).status_code == 302
    row.refresh_from_db()
    assert row.sections[0]["image"] == {"plate": kept.document, "view": kept.view}
    kept.delete()
    assert "lessons/" in as_alice.get(address).text
    shown = as_alice.get(
        f"/drawings/lessons/{draft.pk}/{row.slug}/{section['id']}/0.svg"
    )
    assert shown.status_code == 200


def test_drawing_of_another_club_is_no_choice(as_alice, alice, other_club, draft):
    elsewhere = DrawingFactory(club=other_club)
    now = timezone.now()
    row = drafts.add_row(draft, PARTS["lessons"], by=alice, now=now, name="Blades")
    section = lessons.add_section(row, "picture", by=alice, now=now)
    address = of(draft, f"lessons/{row.pk}/sections/{section['id']}/")
    data = {"version": 1, "photo": f"drawing-{elsewhere.pk}"}
    assert as_alice.post(address, data).status_code == 422


def test_nothing_to_publish_while_nothing_is_changed(as_alice, alice, draft):
    data = {"introduction": "i", "standard_title": "s", "standard_note": "n"}
    now = timezone.now()
    drafts.save_about(draft, by=alice, now=now, version=1, **data)
    drafts.publish(draft, by=alice, now=now, lacking=lacking_in)
    fresh = drafts.draft_of(draft.module, by=alice, now=now)
    page = as_alice.get(of(fresh)).text
    assert "It says the same as the revision before" in page
    assert "Publish as revision" not in page
    drafts.save_about(fresh, by=alice, now=now, version=1, introduction="Other.")
    assert "Publish as revision 3" in as_alice.get(of(fresh)).text


def test_review_is_offered_where_somebody_could_review(as_alice, alice, club, draft):
    data = {"introduction": "i", "standard_title": "s", "standard_note": "n"}
    drafts.save_about(draft, by=alice, now=timezone.now(), version=1, **data)
    assert "Offer it for review" not in as_alice.get(of(draft)).text
    MembershipFactory(club=club, role=Role.MENTOR)
    assert "Offer it for review" in as_alice.get(of(draft)).text
