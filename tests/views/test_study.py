"""The pages of a study module, as each kind of person reads them."""

import pytest

from tests.factories import (
    FaultFactory,
    LessonFactory,
    ModuleFactory,
    ModuleRevisionFactory,
    PriorityFactory,
    StepFactory,
)
from trainer.study.models import Fault, ModuleRevision, Step

State = ModuleRevision.State


def make_module(club, *, priorities=2, steps=3, faults=2, **fields):
    """A module of the club with a revision in force."""
    module = ModuleFactory(club=club, revision=None, breed__name="Fell Drover")
    ModuleRevisionFactory(
        module=module, priorities=priorities, steps=steps, faults=faults, **fields
    )
    return module


@pytest.fixture
def module(club):
    return make_module(club, title="Judging the Fell Drover")


def pages(module):
    """Every page of the module."""
    here = f"/modules/{module.pk}/"
    return [
        here,
        f"{here}priorities/priority-1/",
        f"{here}examination/",
        f"{here}examination/2/",
        f"{here}faults/",
    ]


def text(response):
    """The page with runs of white space made one blank, as a browser shows it."""
    return " ".join(response.content.decode().split())


def test_members_read_every_page(module, as_bob, as_alice, as_organiser):
    for client in (as_bob, as_alice, as_organiser):
        for url in ["/modules/", *pages(module)]:
            response = client.get(url)
            assert response.status_code == 200, url
            assert "Fell Drover" in text(response)
            assert text(response).count("<h1>") == 1


def test_outsiders_get_404(module, as_charlie, as_stranger):
    for client in (as_charlie, as_stranger):
        for url in pages(module):
            assert client.get(url).status_code == 404, url
        assert "Fell Drover" not in text(client.get("/modules/"))


def test_outsiders_get_404_after_a_member_has_read(module, as_bob, as_charlie):
    """What is kept for readers is handed to nobody else."""
    for url in pages(module):
        assert as_bob.get(url).status_code == 200
        assert as_charlie.get(url).status_code == 404


def test_visitors_are_asked_to_sign_in(module, client):
    for url in ["/modules/", *pages(module)]:
        response = client.get(url)
        assert response.status_code == 302
        assert response["Location"].startswith("/account/login/")


def test_pages_are_read_only(module, as_alice):
    for url in ["/modules/", *pages(module)]:
        assert as_alice.post(url).status_code == 405, url


def test_pages_link_to_pages_that_are_there(module, as_bob):
    """Follows every link of the module's pages that stays in the module."""
    here = f"/modules/{module.pk}/"
    for url in pages(module):
        content = as_bob.get(url).content.decode()
        links = {part.split('"')[0] for part in content.split('href="')[1:]}
        inside = {link.split("#")[0] for link in links if link.startswith(here)}
        assert inside, url
        for link in inside:
            assert as_bob.get(link).status_code == 200, (url, link)


def test_unknown_parts_get_404(module, as_bob):
    here = f"/modules/{module.pk}/"
    for url in [
        f"{here}priorities/colour/",
        f"{here}examination/4/",
        f"/modules/{module.pk + 1}/",
    ]:
        assert as_bob.get(url).status_code == 404, url


def test_superseded_and_draft_revisions_are_not_read(module, as_bob):
    old = module.revisions.get()
    old.state = State.SUPERSEDED
    old.save()
    ModuleRevisionFactory(module=module, title="The next one")
    ModuleRevisionFactory(module=module, title="Not yet", state=State.DRAFT)
    page = text(as_bob.get(f"/modules/{module.pk}/"))
    assert "The next one" in page
    assert old.title not in page
    assert "Not yet" not in page


def test_module_without_a_revision_in_force_gets_404(club, as_bob, as_alice):
    module = ModuleFactory(club=club, revision=None)
    ModuleRevisionFactory(module=module, state=State.DRAFT, published_at=None)
    for client in (as_bob, as_alice):
        assert client.get(f"/modules/{module.pk}/").status_code == 404


def test_parts_of_an_old_revision_are_gone(club, as_bob):
    module = make_module(club, priorities=2, steps=9)
    old = module.revisions.get()
    old.state = State.SUPERSEDED
    old.save()
    ModuleRevisionFactory(module=module, priorities=1, steps=1)
    here = f"/modules/{module.pk}/"
    assert as_bob.get(f"{here}priorities/priority-2/").status_code == 404
    assert as_bob.get(f"{here}examination/9/").status_code == 404


def test_list_for_a_stranger_says_how_to_get_in(as_stranger):
    page = text(as_stranger.get("/modules/"))
    assert "You belong to no club yet" in page
    assert 'href="/clubs/found/"' in page


def test_list_for_a_mentor_says_how_a_module_comes_in(as_alice):
    assert "writes it under Workshop" in text(as_alice.get("/modules/"))


def test_list_for_a_trainee_sends_to_the_mentors(as_bob):
    page = text(as_bob.get("/modules/"))
    assert "Nothing to read yet" in page
    assert "under Workshop" not in page


def test_module_says_how_many_priorities_outweigh_the_rest(club, as_bob):
    module = make_module(club, priorities=0)
    for number, weight in enumerate([30, 25, 20, 15, 10], start=1):
        PriorityFactory(revision=module.revisions.get(), number=number, weight=weight)
    page = text(as_bob.get(f"/modules/{module.pk}/"))
    assert "The first two together count 55 of 100, more than the other three." in page
    assert '<line class="minute-rule-part" x2="25"' in page


def test_module_cites_the_standard_and_its_revision(club, as_bob):
    module = make_module(
        club,
        standard_title="Standard of the Fell Drover",
        standard_note="The weights are mine.",
        standard_link="https://club.example.org/standard",
    )
    page = text(as_bob.get(f"/modules/{module.pk}/"))
    assert 'href="https://club.example.org/standard"' in page
    assert "The weights are mine." in page
    assert "1, in force since" in page


def test_priority_shows_its_levels_from_ideal_to_faulty(module, as_bob):
    page = text(as_bob.get(f"/modules/{module.pk}/priorities/priority-1/"))
    words = ["ideal", "good", "fair", "poor", "faulty"]
    rows = [
        f"<span>{word}</span><span>Priority 1 at level {level}</span>"
        for word, level in zip(words, [4, 3, 2, 1, 0], strict=True)
    ]
    found = [page.index(row) for row in rows]
    assert found == sorted(found)


def test_priority_for_the_eye_alone_says_so(club, as_bob):
    module = make_module(club, priorities=0)
    revision = module.revisions.get()
    PriorityFactory(revision=revision, number=1, feel_for="")
    PriorityFactory(revision=revision, number=2, feel_for="A flat palm.")
    here = f"/modules/{module.pk}/priorities/"
    assert "By eye alone." in text(as_bob.get(f"{here}priority-1/"))
    second = text(as_bob.get(f"{here}priority-2/"))
    assert "By eye alone." not in second
    assert "A flat palm." in second


@pytest.mark.parametrize("steps", [3, 0])
def test_the_last_lesson_leads_on_to_what_comes_next(club, as_bob, steps):
    module = make_module(club, steps=steps)
    for number in (1, 2):
        LessonFactory(revision=module.revisions.get(), number=number)
    here = f"/modules/{module.pk}/"
    first = text(as_bob.get(f"{here}lessons/lesson-1/"))
    assert f'rel="next" href="{here}lessons/lesson-2/"' in first
    assert "Back to the module" not in first
    last = text(as_bob.get(f"{here}lessons/lesson-2/"))
    onward = f"{here}examination/" if steps else f"/classes/#module-{module.pk}"
    assert f'rel="next" href="{onward}"' in last
    assert "Back to the module" in last


def test_priority_knows_its_neighbours(club, as_bob):
    module = make_module(club, priorities=3)
    here = f"/modules/{module.pk}/priorities/"
    middle = text(as_bob.get(f"{here}priority-2/"))
    assert "Priority 2 of 3" in middle
    assert f'rel="next" href="{here}priority-3/"' in middle
    assert f'rel="prev" href="{here}priority-1/"' in middle
    assert 'rel="prev"' not in text(as_bob.get(f"{here}priority-1/"))
    last = text(as_bob.get(f"{here}priority-3/"))
    assert 'rel="next"' not in last
    assert "Next: the examination" in last


def test_priority_shows_the_steps_and_faults_tied_to_it(module, as_bob):
    revision = module.revisions.get()
    first = revision.priorities.first()
    StepFactory(revision=revision, number=7, name="Feet", priority=first)
    FaultFactory(revision=revision, number=7, name="Open feet", priority=first)
    here = f"/modules/{module.pk}/"
    page = text(as_bob.get(f"{here}priorities/priority-1/"))
    assert f'href="{here}examination/7/"' in page
    assert f'href="{here}faults/#fault-7"' in page
    other = text(as_bob.get(f"{here}priorities/priority-2/"))
    assert "Open feet" not in other


def test_cautions_stand_before_the_first_step(module, as_bob):
    page = text(as_bob.get(f"/modules/{module.pk}/examination/"))
    caution, first = page.index("Ask the handler first."), page.index('id="step-1"')
    assert caution < first
    for words in (
        "in the dog's view",
        "If the dog freezes, stop",
        "the law of the place",
        "nothing here is veterinary advice",
    ):
        assert words in page.replace("&#x27;", "'")


def test_step_shows_its_caution_and_its_place(module, as_bob):
    revision = module.revisions.get()
    revision.steps.filter(number=2).update(
        caution="Do not push.", sense=Step.Sense.BOTH, find="A firm line."
    )
    page = text(as_bob.get(f"/modules/{module.pk}/examination/2/"))
    assert "Step 2 of 3. On the ground." in page
    for words in ("Do not push.", "by eye and hand", "A firm line."):
        assert words in page
    assert page.count('aria-current="step"') == 1


def test_faults_stand_gravest_first(club, as_bob):
    module = make_module(club, faults=0)
    revision = module.revisions.get()
    for number, severity in enumerate(["minor", "disqualifying", "serious"], start=1):
        FaultFactory(revision=revision, number=number, severity=severity)
    page = text(as_bob.get(f"/modules/{module.pk}/faults/"))
    found = [page.index(f'id="fault-{number}"') for number in (2, 3, 1)]
    assert found == sorted(found)


def test_faults_name_the_ruling_and_defer_to_rules_and_law(module, as_bob):
    revision = module.revisions.get()
    revision.faults.filter(number=1).update(ruling=Fault.Ruling.EXCUSE)
    page = text(as_bob.get(f"/modules/{module.pk}/faults/"))
    assert "Excuse the dog" in page
    for words in ("docked", "the law of the place", "Nothing here is a diagnosis"):
        assert words in page


def test_what_a_mentor_writes_is_escaped(club, as_bob):
    module = make_module(club, introduction="<script>alert(1)</script>")
    page = text(as_bob.get(f"/modules/{module.pk}/"))
    assert "<script>alert(1)" not in page
    assert "&lt;script&gt;alert(1)" in page


def test_a_module_outlives_its_author(club, alice, as_bob):
    module = make_module(club, author=alice)
    alice.delete()
    for url in ["/modules/", *pages(module)]:
        page = text(as_bob.get(url))
        assert "None" not in page, url
        assert "Alice" not in page, url


@pytest.mark.parametrize("many", [1, 40])
def test_list_takes_as_many_queries_for_many_modules(
    club, as_bob, alice, many, django_assert_num_queries
):
    for _module in range(many):
        ModuleRevisionFactory(
            module=ModuleFactory(club=club, revision=None), author=alice
        )
    as_bob.get("/modules/")
    with django_assert_num_queries(4):  # session, person, modules, roles
        assert as_bob.get("/modules/").status_code == 200


@pytest.mark.parametrize("many", [1, 30])
@pytest.mark.parametrize("page", range(5))
def test_pages_take_as_many_queries_for_many_parts(
    club, as_bob, many, page, django_assert_num_queries
):
    """The first to read loads the whole; whoever reads next asks only for what is theirs."""
    module = make_module(club, priorities=many, steps=many + 1, faults=many)
    revision = module.revisions.get()
    revision.steps.update(priority=revision.priorities.first())
    revision.faults.update(priority=revision.priorities.first())
    as_bob.get("/modules/")
    url = pages(module)[page]
    beside = int("/priorities/" in url)  # the drawings beside a priority
    # Where the person is, and for a new place two more that write it.
    opened = 0 if page == 0 else 2
    with django_assert_num_queries(14 + beside + opened):
        assert as_bob.get(url).status_code == 200
    # session, person, what is in force, roles, where the person is
    with django_assert_num_queries(5 + beside):
        assert as_bob.get(url).status_code == 200


def test_hands_go_on_with_a_caution(club, as_bob):
    """Wherever a priority is felt, the caution stands beside it."""
    module = make_module(club, priorities=0)
    revision = module.revisions.get()
    PriorityFactory(revision=revision, number=1, feel_for="A flat palm.")
    PriorityFactory(revision=revision, number=2, feel_for="")
    here = f"/modules/{module.pk}/priorities/"
    caution = "Ask the handler first; if the dog freezes, stop."
    assert caution in text(as_bob.get(f"{here}priority-1/"))
    assert caution not in text(as_bob.get(f"{here}priority-2/"))
