"""Paper cards: tables as people and spreadsheets write them."""

import csv
import io
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quizzes.grading import KeyProblem, Problem, grade
from quizzes.grading.sheet import (
    COLUMNS,
    ROWS_AT_ONCE,
    AnswerRow,
    armband,
    grade_sheet,
    read_answers,
    read_key,
)
from tests.grading.helpers import answer, key

KEY = b"armband,place,cut,ruling\n4,1,2,\n2,2,5,\n3,3,3,\n1,4,,\n31,,,disqualified\n"
HEADER = (
    "name,pairs_agreed,pairs_counted,share,random_as_good,first_right,rulings_right,"
    "score,gap_share,places_moved,weighted_tau,tau_b,tau_x,rho,problem"
)


def graded(*cards, table=KEY):
    return grade_sheet(read_key(table), [AnswerRow(*card) for card in cards])


def problem(placing, rulings=""):
    (row,) = graded(("Ann", placing, rulings)).rows
    return row["problem"]


def test_reads_a_key():
    mentor = read_key(KEY)
    assert mentor.order == (("4",), ("2",), ("3",), ("1",))
    assert mentor.cuts == (2, 5, 3)
    assert mentor.rulings == {"31": "disqualified"}


EXCEL = "\ufeffArmband;Place;Cut;Ruling\r\n4;1;2;\r\n 2 ;2;5;\r\n3;3;3;\r\n1;4;;\r\n31;;;Disqualified\r\n"


@pytest.mark.parametrize(
    "data",
    [
        EXCEL.encode(),
        EXCEL[1:].encode("utf-16"),
        EXCEL,
        EXCEL.replace(";", "\t").encode(),
        EXCEL.replace("\r\n", "\r").encode(),
        ("sep=;\r\n" + EXCEL[1:]).encode(),
        b"ruling,note,cut,armband,place\n,x,2,4,1\n,,5,2,2\n,,3,3,3\n,,,1,4\n\n"
        b"disqualified,,,31,\n,,,,\n",
    ],
)
def test_reads_the_same_key_however_it_was_saved(data):
    assert read_key(data) == read_key(KEY)


def test_equal_places_are_level_and_numbers_may_be_left_out():
    one = read_key("armband,place,cut\n7,1,4\n5,2,\n6,2,3\n8,4,\n")
    assert (one.order, one.cuts) == ((("7",), ("5", "6"), ("8",)), (4, 3))


def test_dogs_without_place_and_ruling_are_unplaced():
    some = read_key("armband,place,cut,ruling\n1,1,3,\n2,2,1,\n3,,,\n4,,,withheld\n")
    assert (some.unplaced, some.bucket, some.gaps) == (("3",), ("3", "4"), (3, 1))


@pytest.mark.parametrize(
    ("table", "says"),
    [
        ("", "columns armband and place are missing"),
        ("armband,cut\n1,2\n", "column place is missing"),
        ("armband,place\n1,1\n01,2\n", "Armband 1 is in the key twice"),
        ("armband,place\n,1\n", "no armband"),
        ("armband,place\n1,first\n", "armband 1 is first, not a whole number"),
        ("armband,place\n1,0\n", "armband 1 is 0, not a whole number"),
        ("armband,place,ruling\n1,1,excused\n", "has a place as well as the ruling"),
        ("armband,place,ruling\n1,,lame\n", "unknown ruling lame; use excused"),
        ("armband,place\n1,\n2,\n", "places no dog"),
        ("armband,place,cut\n1,1,2\n2,2,\n3,3,\n", "Place 2 has no cut"),
        ("armband,place,cut\n1,1,2\n2,2,4\n", "Place 2 is the last and has a cut"),
        ("armband,place,cut\n1,1,2\n2,1,4\n3,2,\n", "Place 1 has different cuts"),
        ("armband,place,cut\n1,1,2.5\n2,2,\n", "cut of armband 1 is 2.5"),
        ("armband,place,cut\n1,1,2\n2,2,\n3,,4\n", "Armband 3 has a cut but no place"),
        (
            "armband,place,cut\n1,1,4\n2,2,7\n3,3,4\n4,4,\n",
            "cut 7 between 2nd and 3rd is too large.*At most 6 fits",
        ),
    ],
)
def test_an_unusable_key_says_why(table, says):
    with pytest.raises(KeyProblem, match=says):
        read_key(table)


def test_figures_are_those_of_a_grade():
    (row,) = graded(("Ann", "4-2=3-1", "31 disqualified")).rows
    mentor = key("4-2-3-1", cuts=(2, 5, 3), rulings={"31": "disqualified"})
    ours = grade(mentor, answer("4-2=3-1", **{"31": "disqualified"}))
    for name in set(COLUMNS) - {"name", "rulings_right", "problem", "random_as_good"}:
        assert row[name] == getattr(ours, name), name
    assert row["random_as_good"] == float(ours.random_as_good)
    assert (row["name"], row["rulings_right"], row["problem"]) == ("Ann", "1/1", None)


@pytest.mark.parametrize(
    "placing",
    [
        "4-2=3-1",
        " 4 - 2 = 3 - 1 ",
        "04-2=3-1",
        "'4-2=3-1",
        "4\u20132=3\u20141",
        "4\u22122=3\u00a0-1",
        "4-3=2-1",
    ],
)
def test_ways_of_writing_a_placing(placing):
    (row,) = graded(("Ann", placing)).rows
    assert (row["pairs_agreed"], row["score"]) == (5.5, 47.5)


@pytest.mark.parametrize(
    "rulings",
    ["31 disqualified", "31 DISQUALIFIED;", "31: disqualified", "031  disqualified "],
)
def test_ways_of_writing_a_ruling(rulings):
    assert graded(("Ann", "4-2-3-1", rulings)).rows[0]["rulings_right"] == "1/1"


def test_withheld_is_a_ruling_too():
    row = graded(("Ann", "4-2-3", "1 withheld, 31 excused")).rows[0]
    assert (row["problem"], row["share"], row["rulings_right"]) == (None, 1, "0/1")


def test_without_rulings_in_the_key_their_count_is_blank():
    sheet = graded(("Ann", "1-2"), table="armband,place\n1,1\n2,2\n")
    assert sheet.rows[0]["rulings_right"] is None


@pytest.mark.parametrize(
    ("placing", "rulings", "says"),
    [
        ("", "", "the placing is empty; write it like 4-2-3-1"),
        ("  ", "31 disqualified", "the placing is empty; write it like 4-2-3-1"),
        ("4-77-2", "", "unknown armband 77; the class has 1, 2, 3, 4, 31"),
        ("4-2-04", "", "armband 4 twice in the placing"),
        ("4-2-2-2", "", "armband 2 twice in the placing"),
        ("4--2", "", "an armband is missing; the class has 1, 2, 3, 4, 31"),
        ("4-2-", "", "an armband is missing; the class has 1, 2, 3, 4, 31"),
        ("4-2", "31 disqualified; 31 excused", "armband 31 twice in the rulings"),
        ("4-2", "2 excused", "armband 2 both placed and excused"),
        ("4-2", "8 excused", "unknown armband 8; the class has 1, 2, 3, 4, 31"),
        (
            "4-2",
            "3 lame",
            "unknown ruling lame for armband 3;"
            " use excused, disqualified, absent, withheld",
        ),
        (
            "4-2",
            "3",
            "no ruling for armband 3; use excused, disqualified, absent, withheld",
        ),
        (
            "04.02.2003",
            "",
            "the placing 04.02.2003 looks like a date made by the spreadsheet;"
            " format its column as text and write it again",
        ),
    ],
)
def test_a_bad_card_says_what_to_mend(placing, rulings, says):
    assert problem(placing, rulings) == says


@pytest.mark.parametrize(
    "date",
    [
        "4/2/03",
        "2003-02-04",
        "2003-02-04 00:00:00",
        "4-2-2003",
        "4-Feb",
        "4. Februar 2003",
        "4 févr. 2003",
        "Feb 4, 2003",
        "Feb-04",
    ],
)
def test_what_spreadsheets_make_of_a_placing_is_named_a_date(date):
    assert "looks like a date made by the spreadsheet" in problem(date, "")


@pytest.mark.parametrize("placing", ["4-2-77", "4=77-3", "4-2-3-8", "4-a-2"])
def test_what_is_no_date_is_not_named_one(placing):
    assert "looks like a date" not in problem(placing, "")


def test_each_card_knows_its_line():
    """Blank lines, a line that names the delimiter and broken quotation marks count too."""
    lines = [row.line for row in read_answers("\nsep=;\nname;placing\nA;1\n\nB;2\n")]
    assert lines == [4, 6]
    assert [row.line for row in read_answers('name,placing\n"A,1\nB,2\n')] == [2, 3]


def test_all_problems_of_a_card_are_named():
    said = problem("4-77-4", "1 lame")
    for part in ("armband 77", "armband 4 twice", "ruling lame"):
        assert part in said


def test_good_cards_are_graded_beside_bad_ones():
    sheet = graded(("Ann", "4-2-3-1"), ("Bob", ""), ("Cy", "1-3-2-4"), ("Di", "9"))
    assert sheet.problems == 2
    assert [row["score"] for row in sheet.rows] == [50, None, 15, None]
    assert [row["name"] for row in sheet.rows] == ["Ann", "Bob", "Cy", "Di"]


def test_a_room_without_a_readable_card():
    sheet = graded(("Ann", ""), ("Bob", "77"))
    assert sheet.problems == 2
    assert graded().to_csv() == HEADER + "\n"


@pytest.mark.parametrize(
    "data",
    [
        b"name,placing,rulings\nAnn,4-2-3-1,31 disqualified; 1 excused\nBob,1-2,\n",
        b"\xef\xbb\xbfName;Placing;Rulings\r\n"
        b'Ann;4-2-3-1;"31 disqualified; 1 excused"\r\nBob;1-2;\r\n',
        b"name;placing;rulings\r\nAnn;4-2-3-1;31 disqualified; 1 excused\r\nBob;1-2\r\n",
        b"rulings\tplacing\tname\n31 disqualified; 1 excused\t4-2-3-1\tAnn\n\t1-2\tBob\n",
    ],
)
def test_reads_answers_however_they_were_saved(data):
    rulings = [part.strip() for part in read_answers(data)[0].rulings.split(";")]
    assert rulings == ["31 disqualified", "1 excused"]
    assert [card[:2] for card in read_answers(data)] == [
        ("Ann", "4-2-3-1"),
        ("Bob", "1-2"),
    ]


def test_names_of_any_kind():
    latin = "name,placing,rulings\nJosé,1-2,\n".encode("cp1252")
    assert read_answers(latin)[0].name == "José"
    quoted = b'name,placing\n"Smith, ""Jo""",1-2\n'
    assert read_answers(quoted)[0].name == 'Smith, "Jo"'


def test_a_quotation_mark_left_open_spoils_no_other_card():
    cards = read_answers(b'name,placing\nAnn,1-2\n"Bob,1-2\nCy,2-1\n')
    assert [card.name for card in cards] == ["Ann", "Bob", "Cy"]
    assert [card.placing for card in cards] == ["1-2", "1-2", "2-1"]


def test_answers_without_placings_are_refused():
    with pytest.raises(Problem, match="column placing is missing"):
        read_answers("name,order\nAnn,1-2\n")


def test_csv_has_the_columns_and_numbers_of_the_contract():
    text = graded(("Ann", "4-3-2-1", "31 disqualified"), ("Bob", "")).to_csv()
    header, ann, bob, end = text.split("\n")
    assert header == HEADER
    cells = dict(zip(COLUMNS, ann.split(","), strict=True))
    assert cells["pairs_agreed"] == "5"
    assert cells["share"] == "0.833333333333333"
    assert cells["random_as_good"] == "0.166666666666667"
    assert (cells["first_right"], cells["rulings_right"]) == ("1", "1/1")
    assert (cells["score"], cells["places_moved"]) == ("45", "2")
    assert cells["weighted_tau"] == "0.733333333333333"
    assert bob == "Bob,,,,,,,,,,,,,,the placing is empty; write it like 4-2-3-1"
    assert end == ""


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t"])
def test_no_text_becomes_a_formula(start):
    sheet = graded((start + "SUM(A1)", "4-2-3-1"))
    (row,) = csv.DictReader(io.StringIO(sheet.to_csv()))
    assert row["name"] == f"'{start}SUM(A1)"
    assert json.loads(sheet.to_json())[0]["name"] == start + "SUM(A1)"


def test_a_negative_number_stays_a_number():
    (row,) = csv.DictReader(io.StringIO(graded(("Ann", "1-3-2-4")).to_csv()))
    assert (row["tau_b"], row["share"], row["first_right"]) == ("-1", "0", "0")


def test_json_has_numbers_and_null():
    ann, bob = json.loads(graded(("Ann", "4-3-2-1"), ("Bob", "")).to_json())
    assert list(ann) == list(bob) == list(COLUMNS)
    assert (ann["score"], ann["share"], ann["problem"]) == (45, 5 / 6, None)
    assert (bob["score"], bob["share"]) == (None, None)


def test_undefined_figures_are_blank():
    sheet = graded(("Ann", "1=2"), table="armband,place\n1,1\n2,1\n")
    (row,) = csv.DictReader(io.StringIO(sheet.to_csv()))
    assert (row["share"], row["random_as_good"], row["tau_b"]) == ("", "", "")
    assert (row["pairs_counted"], row["problem"]) == ("0", "")


def test_progress_is_told_and_ends_at_the_last_card():
    told = []
    cards = [AnswerRow("Ann", "4-2-3-1")] * (2 * ROWS_AT_ONCE + 1)
    grade_sheet(read_key(KEY), cards, lambda done, total: told.append((done, total)))
    assert told == [
        (done, len(cards)) for done in (ROWS_AT_ONCE, 2 * ROWS_AT_ONCE, len(cards))
    ]


CELLS = st.text(st.sampled_from("4231-=;, \t'\"\u20130a\u00b2excusd\n"), max_size=20)


@given(st.lists(st.tuples(CELLS, CELLS, CELLS), max_size=5))
def test_no_card_however_written_stops_the_others(cards):
    sheet = graded(("Ann", "4-2-3-1"), *cards, ("Bob", "1-3-2-4"))
    assert [sheet.rows[0]["share"], sheet.rows[-1]["share"]] == [1, 0]
    for row in sheet.rows:
        assert (row["problem"] is None) == (row["pairs_agreed"] is not None)
    assert len(list(csv.reader(io.StringIO(sheet.to_csv())))) == len(cards) + 3


@given(st.binary(max_size=80) | CELLS)
def test_any_upload_is_read_or_refused(data):
    for header in (b"", b"name,placing\n", b"armband,place,cut\n"):
        table = header + (data if isinstance(data, bytes) else data.encode())
        for read in (read_answers, read_key):
            result = read_or_refusal(read, table)
            assert not isinstance(result, str) or result.endswith(".")


def read_or_refusal(read, table):
    try:
        return read(table)
    except Problem as refusal:
        return str(refusal)


@pytest.mark.parametrize(
    ("text", "same"), [(" 4 ", "4"), ("004", "4"), ("0", "0"), ("A4", "A4"), ("", "")]
)
def test_armbands(text, same):
    assert armband(text) == same
