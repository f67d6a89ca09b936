"""Paper cards as an upload, with a plain client: everything here works without a script."""

import csv
import html
import io
import re
import zipfile

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from quizzes.grading.sheet import COLUMNS, grade_sheet, read_answers, read_key
from quizzes.paper import EXAMPLE_ANSWERS, EXAMPLE_KEY, MOST_LISTED
from quizzes.paper_form import MOST_KEPT
from tests.placing import key, placing_class

PAPER = "/workshop/paper/"
KEY = "armband,place,cut,ruling\n4,1,2,\n2,2,5,\n3,3,3,\n1,4,,\n31,,,disqualified\n"
CARDS = (
    "name,placing,rulings\n"
    "Ann,4-3-2-1,31 disqualified\n"
    "Bob,4-2=3-1,\n"
    "Cy,1-3-2-4,31 excused\n"
)


def uploaded(key=KEY, cards=CARDS):
    return {
        name: SimpleUploadedFile(
            f"{name}.csv", table if isinstance(table, bytes) else table.encode()
        )
        for name, table in (("key", key), ("answers", cards))
    }


def grade(client, **tables):
    return client.post(PAPER, {**uploaded(**tables), "grade": "1"})


def download(client, **tables):
    return client.post(PAPER, {**uploaded(**tables), "download": "1"})


def words(response):
    """The text of the page with every run of blanks as one."""
    return " ".join(response.text.split())


def test_mentor_finds_the_form_with_both_headers(as_alice):
    response = as_alice.get(PAPER)
    assert response.status_code == 200
    for part in ("armband,place,cut,ruling", "name,placing,rulings", "kept"):
        assert part in response.text
    assert response.text.count('type="file"') == 2
    assert 'enctype="multipart/form-data"' in response.text


def test_examples_on_the_page_are_graded_as_they_stand(as_alice):
    page = as_alice.get(PAPER).text
    assert EXAMPLE_KEY.splitlines()[-1] in page
    assert EXAMPLE_ANSWERS.splitlines()[-1] in page
    sheet = grade_sheet(read_key(EXAMPLE_KEY), read_answers(EXAMPLE_ANSWERS))
    assert (sheet.problems, len(sheet.rows)) == (0, 3)
    assert [row["rulings_right"] for row in sheet.rows] == ["1/1", "0/1", "0/1"]


def test_only_the_entry_of_this_page_is_current(as_alice):
    page = as_alice.get(PAPER).text
    # The navigation and the workshop's parts stand there twice: as a row, and in the menu of a phone.
    assert page.count('href="/workshop/" aria-current="page"') == 2
    assert page.count('href="/workshop/paper/" aria-current="page"') == 2
    assert page.count('aria-current="page"') == 4


@pytest.mark.parametrize("who", ["as_bob", "as_charlie", "as_stranger"])
def test_whoever_leads_no_club_gets_404(who, request):
    client = request.getfixturevalue(who)
    assert client.get(PAPER).status_code == 404
    assert grade(client).status_code == 404


def test_other_methods_are_refused(as_alice):
    assert as_alice.put(PAPER).status_code == 405


def test_a_room_is_graded_on_the_page(as_alice):
    page = words(grade(as_alice))
    assert "3 cards graded" in page
    # By hand: 5, 5½ and 0 of 6 pairs, on average 3½.
    assert (
        "On average 3.5 of 6 pairs stand as in the key; an order at random gets 3."
        in page
    )
    assert "2 cards have the first of the key first" in page
    for cell in ("5 of 6", "5½ of 6", "0 of 6", "1 in 6", ">1/1<", ">45<", ">47.5<"):
        assert cell in page
    assert "could not be graded" not in page


def test_order_matrix_counts_every_place(as_alice):
    orders = grade(as_alice).context["room"].orders
    assert orders["places"] == ["1st", "2nd", "3rd", "4th"]
    counts = {
        row["armband"]: [cell["count"] for cell in row["cells"]]
        for row in orders["rows"]
    }
    # The last column counts the cards that left the dog unplaced. Bob has 2 and 3 level
    # 2nd, so his next dog stands 4th.
    assert counts == {
        "4": [2, 0, 0, 1, 0],
        "2": [0, 1, 2, 0, 0],
        "3": [0, 3, 0, 0, 0],
        "1": [1, 0, 0, 2, 0],
        "31": [0, 0, 0, 0, 3],
    }
    framed = {
        row["armband"]: [cell["is_key"] for cell in row["cells"]].index(True)
        for row in orders["rows"]
    }
    assert framed == {"4": 0, "2": 1, "3": 2, "1": 3, "31": 4}


def test_dogs_level_in_the_key_share_their_place(as_alice):
    key = "armband,place\n7,1\n5,2\n6,2\n8,4\n"
    orders = (
        grade(as_alice, key=key, cards="name,placing\nAnn,7-5-6\n")
        .context["room"]
        .orders
    )
    framed = [
        [at for at, cell in enumerate(row["cells"]) if cell["is_key"]]
        for row in orders["rows"]
    ]
    assert framed == [[0], [1, 2], [1, 2], [3]]


def test_cards_that_cannot_be_read_say_what_to_mend(as_alice):
    cards = CARDS + "Di,4-77,\n,,\nEve,,31 disqualified\n"
    response = grade(as_alice, cards=cards)
    page = words(response)
    assert response.status_code == 200
    assert "3 cards graded" in page
    assert "2 cards could not be graded" in page
    assert (
        "Line 5 of the file, Di: unknown armband 77; the class has 1, 2, 3, 4, 31."
        in page
    )
    assert (
        "Line 7 of the file, Eve: the placing is empty; write it like 4-2-3-1." in page
    )


def test_a_room_without_one_readable_card(as_alice):
    page = words(grade(as_alice, cards="name,placing\nAnn,77\n"))
    assert "0 cards graded" in page
    assert "One card could not be graded" in page
    assert "<table" not in page


def test_without_cuts_and_rulings_their_columns_are_left_out(as_alice):
    page = grade(
        as_alice, key="armband,place\n1,1\n2,2\n", cards="name,placing\nA,1-2\n"
    )
    assert "By the cuts" not in page.text.split("Card by card")[1].split("</table>")[0]
    assert "Rulings right" not in page.text


def test_undefined_figures_are_said_to_be_undefined(as_alice):
    response = grade(
        as_alice, key="armband,place\n1,1\n2,1\n", cards="name,placing\nA,1-2\n"
    )
    page = words(response)
    assert "The key leaves every order open" in page
    assert "none to compare" in page
    assert "nan" not in page
    statistics = response.context["room"].graded[0].statistics
    assert [figure["value"] for figure in statistics] == [
        "not defined",
        "not defined",
        "1.0",
        "not defined",
        "not defined",
        "0.00",
        "not defined",
    ]


def test_a_long_list_is_cut_and_says_so(as_alice):
    cards = "name,placing\n" + "Ann,4-2-3-1\n" * (MOST_LISTED + 1) + "Bob,\n"
    page = words(grade(as_alice, cards=cards))
    assert f"{MOST_LISTED + 1} cards graded" in page
    assert f"The first {MOST_LISTED} cards." in page
    assert page.count('<th scope="row">Ann</th>') == 2 * MOST_LISTED


def test_download_is_the_table_of_the_command(as_alice):
    response = download(as_alice, cards=CARDS + "Di,9,\n")
    assert response.status_code == 200
    assert response["Content-Type"] == "text/csv; charset=utf-8"
    assert 'filename="graded-cards.csv"' in response["Content-Disposition"]
    sheet = grade_sheet(read_key(KEY), read_answers(CARDS + "Di,9,\n"))
    assert response.content.decode("utf-8-sig") == sheet.to_csv()
    table = csv.DictReader(io.StringIO(sheet.to_csv()))
    assert tuple(table.fieldnames) == COLUMNS


def test_download_holds_all_cards(as_alice):
    cards = "name,placing\n" + "Ann,4-2-3-1\n" * (MOST_LISTED + 1)
    assert download(as_alice, cards=cards).content.count(b"\n") == MOST_LISTED + 2


def test_no_name_becomes_a_formula_or_markup(as_alice):
    cards = "name,placing\n=SUM(A1),4-2-3-1\n<b onclick=x>Bob,4-2-3-1\n"
    assert b"\n'=SUM(A1)," in download(as_alice, cards=cards).content
    page = grade(as_alice, cards=cards).text
    assert "<b onclick" not in page
    assert "&lt;b onclick=x&gt;Bob" in page


def test_tables_that_a_spreadsheet_made(as_alice):
    key, cards = (
        ("\ufeff" + table.replace(",", ";").replace("\n", "\r\n")).encode()
        for table in (KEY, CARDS)
    )
    assert "3 cards graded" in grade(as_alice, key=key, cards=cards).text


def workbook():
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as archive:
        archive.writestr("xl/workbook.xml", "<workbook/>")
    return made.getvalue()


@pytest.mark.parametrize(
    ("tables", "field", "says"),
    [
        ({"key": ""}, "key", "The file is empty."),
        ({"cards": ""}, "answers", "The file is empty."),
        ({"key": CARDS}, "key", "This is the other table"),
        ({"cards": KEY}, "answers", "This is the other table"),
        ({"key": "armband,place\n1,first\n"}, "key", "is first, not a whole number"),
        (
            {"key": "armband,place,cut\n1,1,30\n2,2,30\n3,3,\n"},
            "key",
            "The cut 30 between 1st and 2nd is too large",
        ),
        ({"cards": "name,placing\n"}, "answers", "There is no card below the header."),
        (
            {"cards": "name,placing\n" + "A,4\n" * 20_001},
            "answers",
            "20,001 cards are more than the page takes, which is 20,000. The command "
            "grade_sheet",
        ),
        ({"key": "x" * (2**20 + 1)}, "key", "The file is larger than 1 MB."),
        ({"cards": "x" * (5 * 2**20 + 1)}, "answers", "The file is larger than 5 MB."),
        ({"key": workbook()}, "key", "This is a workbook."),
        (
            {"cards": b"\x89PNG\r\n\x1a\n\0\0"},
            "answers",
            "The columns name and placing are missing",
        ),
    ],
)
@pytest.mark.parametrize("button", [grade, download])
def test_an_unusable_table_says_what_to_do(as_alice, tables, field, says, button):
    response = button(as_alice, **tables)
    assert response.status_code == 422
    assert list(response.context["form"].errors) == [field]
    assert "<title>Error:" in response.text
    assert f'href="#id_{field}"' in response.text
    assert says in words(response)
    other = "answers" if field == "key" else "key"
    assert f'name="{other}_kept"' in response.text


def test_without_files_both_fields_ask_for_theirs(as_alice):
    response = as_alice.post(PAPER)
    assert response.status_code == 422
    assert "Two things to mend" in response.text
    assert response.context["form"].errors == {
        "key": ["Choose a class above, or the file."],
        "answers": ["Choose the file."],
    }


def test_twenty_thousand_cards_are_taken(as_alice):
    cards = "name,placing\n" + "A,4-2-3-1\n" * 20_000
    assert download(as_alice, cards=cards).content.count(b"\n") == 20_001


@pytest.mark.parametrize("button", [grade, download])
def test_nothing_is_stored(as_alice, button):
    as_alice.get(PAPER)
    with CaptureQueriesContext(connection) as queries:
        assert button(as_alice).status_code == 200
    assert queries.captured_queries
    for query in queries.captured_queries:
        # PostgreSQL reads long lists through a cursor.
        assert query["sql"].startswith(("SELECT", "DECLARE")), query["sql"]


def test_a_form_from_elsewhere_is_refused(alice):
    client = Client(enforce_csrf_checks=True)
    client.force_login(alice)
    assert grade(client).status_code == 403


def test_organisers_bring_the_key_as_a_file(as_organiser, club):
    """They may train in the club as well, so no key is told to them."""
    revision = placing_class(club)
    assert 'href="/workshop/paper/"' in as_organiser.get("/").text
    assert 'name="revision"' not in as_organiser.get(PAPER).text
    assert grade(as_organiser).status_code == 200
    sent = {"answers": uploaded()["answers"], "revision": revision.pk}
    refused = as_organiser.post(PAPER, sent)
    assert refused.context["form"].errors == {"key": ["Choose the file."]}


def test_mentors_grade_with_a_classs_own_key(as_alice, club):
    client = as_alice
    assert 'href="/workshop/paper/"' in client.get("/workshop/").text
    rulings = {"d": {"ruling": "excused", "reason": "Lame."}}
    revision = placing_class(club, key=key("abc", cuts=[2, 5], rulings=rulings))
    page = client.get(f"{PAPER}?class={revision.pk}").text
    assert f'<option value="{revision.pk}" selected>' in page
    cards = "name,placing,rulings\nAnn,11-22-33,44 excused\nBob,22-11-33-44,\n"
    files = {"answers": uploaded(cards=cards)["answers"], "revision": revision.pk}
    response = client.post(PAPER, {**files, "grade": "1"})
    assert response.status_code == 200
    page = words(response)
    assert "2 cards graded" in page
    assert ">3 of 3<" in page
    assert ">2 of 3<" in page
    assert ">48<" in page


def test_only_classes_in_force_of_led_clubs_are_offered(as_alice, club, other_club):
    placing_class(club, state="draft", title="A draft")
    other = placing_class(other_club, title="Another club's")
    mine = placing_class(club, title="Ours in force")
    page = as_alice.get(PAPER).text
    assert "Ours in force" in page
    assert "A draft" not in page
    assert "Another club" not in page
    for revision, status in ((other, 422), (mine, 200)):
        sent = {"answers": uploaded()["answers"], "revision": revision.pk}
        assert as_alice.post(PAPER, sent).status_code == status


def test_class_and_file_together_are_refused(as_alice, club):
    response = as_alice.post(PAPER, {**uploaded(), "revision": placing_class(club).pk})
    assert response.status_code == 422
    assert "Choose a class or a file, not both." in response.text


def test_wrong_and_missed_rulings_are_counted(as_alice):
    """Ann has the key's ruling; Bob misses it; Cy has another one in its place."""
    response = grade(as_alice)
    assert response.context["room"].rulings == {"right": 1, "wrong": 1, "missed": 1}
    page = words(response)
    assert "One card has every ruling right. One has a wrong ruling." in page
    assert "One misses a ruling of the key." in page
    assert [card.wrong for card in response.context["room"].graded] == [0, 0, 1]


def test_wrong_ruling_is_counted_where_the_key_has_none(as_alice):
    tables = {"key": "armband,place\n1,1\n2,2\n3,3\n"}
    cards = "name,placing,rulings\nA,1-2,3 excused\nB,1-2-3,\n"
    page = words(grade(as_alice, **tables, cards=cards))
    assert "One card has every ruling right. One has a wrong ruling." in page
    assert "Rulings wrong" in page


def test_line_of_a_key_that_cannot_be_read_is_named(as_alice):
    page = words(grade(as_alice, key="armband,place\n1,1\n\n1,2\n"))
    assert "Line 4: Armband 1 is in the key twice." in page


@pytest.mark.parametrize("date", ["04.02.2003", "2003-02-04", "4. Feb 2003"])
def test_placing_that_became_a_date_says_so(as_alice, date):
    page = words(grade(as_alice, cards=f"name,placing\nAnn,{date}\n"))
    assert (
        f"Line 2 of the file, Ann: the placing {date} looks like a date made by" in page
    )


KEPT = re.compile(r'<textarea name="(\w+_kept)" hidden>\n(.*?)</textarea>', re.DOTALL)


def kept(response):
    """What the page would send again, as a browser reads it."""
    return {name: html.unescape(text) for name, text in KEPT.findall(response.text)}


def test_the_download_follows_without_choosing_the_files_again(as_alice):
    cards = CARDS + '"<O\'Neil & sons>",4-3-2-1,\n'
    tables = kept(grade(as_alice, cards=cards))
    assert tables == {"key_kept": KEY, "answers_kept": cards}
    again = as_alice.post(PAPER, {**tables, "download": "1"})
    assert again.content == download(as_alice, cards=cards).content


def test_after_a_mistake_in_one_table_only_that_one_is_chosen_again(as_alice):
    refused = grade(as_alice, key="armband,place\n1,first\n")
    sent = {"key": uploaded()["key"], "answers_kept": kept(refused)["answers_kept"]}
    assert "3 cards graded" in as_alice.post(PAPER, {**sent, "grade": "1"}).text


def test_a_large_table_is_chosen_again(as_alice):
    cards = CARDS + ("A" * 1000 + ",4-3-2-1,\n") * (MOST_KEPT // 1000)
    response = grade(as_alice, cards=cards)
    assert list(kept(response)) == ["key_kept"]
    assert "choose them once more" in response.text


def test_a_class_chosen_later_takes_the_place_of_a_kept_key(as_alice, club):
    sent = kept(grade(as_alice)) | {"revision": placing_class(club).pk}
    response = as_alice.post(PAPER, sent)
    assert response.status_code == 200
    assert list(kept(response)) == ["answers_kept"]


def test_all_mistakes_of_a_key_are_said_at_once(as_alice):
    table = (
        "armband,place,cut,ruling\n1,one,,\n2,2,,\n2,3,x,\n3,4,2,\n4,5,,lame\n5,6,,\n"
    )
    page = words(grade(as_alice, key=table))
    for said in (
        "Line 2: The place of armband 1 is one, not a whole number from 1.",
        "Line 4: Armband 2 is in the key twice.",
        "Line 6: Armband 4 has a place as well as the ruling lame.",
        "Place 2 has no cut; every place but the last needs one.",
    ):
        assert said in page


def test_one_name_on_two_cards_gets_a_note(as_alice):
    cards = CARDS + "Ann,4-2-3-1,\n,4-2-3-1,\n,4-2-3-1,\n"
    page = words(grade(as_alice, cards=cards))
    assert "Ann: lines 2, 5 of the file" in page
    assert page.count(" of the file<") == 1


@pytest.mark.parametrize("placing", ['"4, 2, 3, 1"', "4, 2, 3, 1", "4 2 3 1"])
def test_a_placing_without_hyphens_says_how_to_write_it(as_alice, placing):
    page = words(grade(as_alice, cards=f"name,placing,rulings\nAnn,{placing}\n"))
    assert "write hyphens between the numbers, 4-2-3-1" in page


def test_each_role_reads_what_it_can_do(as_alice, as_organiser):
    assert "Choose the class or give your key" in as_alice.get(PAPER).text
    page = as_organiser.get(PAPER).text
    assert "Choose the class" not in page
    assert "key as a table and the cards as another" in page


def test_certainty_is_said_in_a_word(as_alice):
    page = grade(
        as_alice, key="armband,place\n1,1\n2,2\n", cards="name,placing\nA,2-1\n"
    ).text
    assert ">always<" in page
    assert "10 in 10" not in page
