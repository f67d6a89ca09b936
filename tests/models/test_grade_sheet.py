"""The command `grade_sheet`, run as people run it: real files, exit status, both streams."""

import csv
import io
import json
import os
import pty
import random
import subprocess
import sys
from itertools import permutations
from pathlib import Path

import pytest
from scipy import stats

ROOT = Path(__file__).parents[2]
HEADER = (
    "name,pairs_agreed,pairs_counted,share,random_as_good,first_right,rulings_right,"
    "score,gap_share,places_moved,weighted_tau,tau_b,tau_x,rho,problem"
)
KEY = "armband,place,cut,ruling\n4,1,2,\n2,2,5,\n3,3,3,\n1,4,,\n31,,,disqualified\n"
CARDS = (
    "name,placing,rulings\n"
    "Ann,4-3-2-1,31 disqualified\n"
    "Bob,4-2=3-1,\n"
    "Cy,1-3-2-4,31 excused\n"
)
BAD_CARDS = "Di,4-77-2,\nEve,4-2-4,\nFay,,31 disqualified\nGus,4-2-3-1,2 lame\n"

# No settings but the key, and a database nobody answers for.
ENVIRONMENT = {
    "PATH": os.environ["PATH"],
    "TRAINER_SECRET_KEY": "only-for-tests-" + "x" * 40,
    "DATABASE_URL": "postgres://nobody@127.0.0.1:1/nowhere",
}


@pytest.fixture
def folder(tmp_path):
    """A folder with a usable key and cards that can all be read."""
    (tmp_path / "key.csv").write_text(KEY)
    (tmp_path / "cards.csv").write_text(CARDS)
    return tmp_path


def arguments(*more):
    return [sys.executable, str(ROOT / "manage.py"), "grade_sheet", *more]


def environment(folder):
    return {**ENVIRONMENT, "TRAINER_VAR_DIR": str(folder / "var")}


def run(folder, key="key.csv", cards="cards.csv", *more, **variables):
    return subprocess.run(
        arguments(key, cards, *more),
        cwd=folder,
        env=environment(folder) | variables,
        capture_output=True,
        timeout=120,
    )


def rows(done):
    return list(csv.DictReader(io.StringIO(done.stdout.decode())))


def test_a_room_is_graded(folder):
    done = run(folder)
    assert (done.returncode, done.stderr) == (0, b"")
    assert done.stdout.decode().split("\n")[0] == HEADER
    ann, bob, cy = rows(done)
    # By hand: one pair of six the other way round, across the cut of 5; 4 of the 24
    # orders of four dogs have at most one such pair; the cuts of all pairs add up to 35.
    assert ann == {
        "name": "Ann",
        "pairs_agreed": "5",
        "pairs_counted": "6",
        "share": "0.833333333333333",
        "random_as_good": "0.166666666666667",
        "first_right": "1",
        "rulings_right": "1/1",
        "score": "45",
        "gap_share": "0.857142857142857",
        "places_moved": "2",
        "weighted_tau": "0.733333333333333",
        "tau_b": "0.666666666666667",
        "tau_x": "0.666666666666667",
        "rho": "0.8",
        "problem": "",
    }
    assert (bob["pairs_agreed"], bob["score"]) == ("5.5", "47.5")
    assert (bob["first_right"], bob["rulings_right"]) == ("1", "0/1")
    assert (cy["share"], cy["first_right"], cy["tau_b"]) == ("0", "0", "-1")


def test_figures_are_those_of_scipy_and_of_counting(folder):
    """Nine digits and more of scipy's own functions, and of all orders written out."""
    dogs = list("12345")
    orders = random.Random(5).sample(list(permutations(dogs)), 12)
    (folder / "key.csv").write_text(
        "armband,place\n" + "".join(f"{dog},{dog}\n" for dog in dogs)
    )
    (folder / "cards.csv").write_text(
        "name,placing\n" + "".join(f"A,{'-'.join(order)}\n" for order in orders)
    )
    key = [1, 2, 3, 4, 5]
    taus = [
        stats.kendalltau(key, order).statistic for order in permutations(range(1, 6))
    ]
    graded = rows(run(folder))
    assert len(graded) == len(orders)
    for order, row in zip(orders, graded, strict=True):
        given = [order.index(dog) + 1 for dog in dogs]
        tau = stats.kendalltau(key, given).statistic
        weights = [place - 1 for place in key]
        top = stats.weightedtau(
            [-p for p in key], [-p for p in given], rank=weights
        ).statistic
        as_good = sum(other >= tau - 1e-9 for other in taus) / len(taus)
        near = {"rel": 1e-9, "abs": 1e-12}
        assert float(row["tau_b"]) == pytest.approx(tau, **near)
        assert float(row["tau_x"]) == pytest.approx(tau, **near)
        assert float(row["share"]) == pytest.approx((1 + tau) / 2, **near)
        assert float(row["rho"]) == pytest.approx(
            stats.spearmanr(key, given).statistic, **near
        )
        assert float(row["weighted_tau"]) == pytest.approx(top, **near)
        assert float(row["random_as_good"]) == pytest.approx(as_good, **near)
        moved = sum(abs(a - b) for a, b in zip(key, given, strict=True))
        assert float(row["places_moved"]) == moved


def test_undefined_figures_are_blank(folder):
    (folder / "key.csv").write_text("armband,place\n1,1\n2,1\n")
    (folder / "cards.csv").write_text("name,placing\nAnn,1-2\n")
    done = run(folder)
    assert done.returncode == 0
    assert done.stdout.decode() == f"{HEADER}\nAnn,0,0,,,,,,,1,,,0,,\n"


def test_bad_cards_say_what_to_mend_and_the_others_are_graded(folder):
    with (folder / "cards.csv").open("a") as cards:
        cards.write(BAD_CARDS)
    done = run(folder)
    assert (done.returncode, done.stderr) == (1, b"")
    graded, refused = rows(done)[:3], rows(done)[3:]
    assert [row["score"] for row in graded] == ["45", "47.5", "15"]
    assert {row["problem"] for row in graded} == {""}
    assert {row["name"]: row["problem"] for row in refused} == {
        "Di": "unknown armband 77; the class has 1, 2, 3, 4, 31",
        "Eve": "armband 4 twice in the placing",
        "Fay": "the placing is empty; write it like 4-2-3-1",
        "Gus": "unknown ruling lame for armband 2;"
        " use excused, disqualified, absent, withheld",
    }
    for row in refused:
        assert {row[name] for name in HEADER.split(",")[1:-1]} == {""}


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "cp1252"])
def test_tables_that_a_spreadsheet_made(folder, encoding):
    for name, table in (("key", KEY), ("cards", CARDS.replace("Ann", "José"))):
        made = table.replace(",", ";").replace("\n", "\r\n")
        (folder / f"{name}.csv").write_bytes(made.encode(encoding))
    done = run(folder)
    assert (done.returncode, done.stderr) == (0, b"")
    assert [(row["name"], row["score"]) for row in rows(done)] == [
        ("José", "45"),
        ("Bob", "47.5"),
        ("Cy", "15"),
    ]


def test_json_has_the_same_columns_with_numbers_and_null(folder):
    with (folder / "cards.csv").open("a") as cards:
        cards.write("Di,9,\n")
    done = run(folder, "key.csv", "cards.csv", "--json")
    assert done.returncode == 1
    ann, bob, _cy, di = json.loads(done.stdout)
    assert [list(row) for row in (ann, di)] == [HEADER.split(",")] * 2
    assert (ann["score"], ann["share"], ann["rulings_right"]) == (45, 5 / 6, "1/1")
    assert (bob["pairs_agreed"], bob["problem"]) == (5.5, None)
    assert (di["share"], di["problem"]) == (
        None,
        "unknown armband 9; the class has 1, 2, 3, 4, 31",
    )


@pytest.mark.parametrize(
    ("key", "cards", "says"),
    [
        ("none.csv", "cards.csv", "none.csv cannot be read: No such file or directory"),
        ("key.csv", "none.csv", "none.csv cannot be read: No such file or directory"),
        (".", "cards.csv", ". cannot be read: Is a directory"),
        (
            "cards.csv",
            "cards.csv",
            "cards.csv: The columns armband and place are missing",
        ),
        ("key.csv", "key.csv", "key.csv: The columns name and placing are missing"),
        ("wide.csv", "cards.csv", "wide.csv: The cut 30 between 1st and 2nd is too"),
        (
            "empty.csv",
            "cards.csv",
            "empty.csv: The columns armband and place are missing",
        ),
    ],
)
def test_an_unusable_file_ends_with_the_reason(folder, key, cards, says):
    (folder / "wide.csv").write_text("armband,place,cut\n1,1,30\n2,2,30\n3,3,\n")
    (folder / "empty.csv").write_text("")
    done = run(folder, key, cards)
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr.decode().startswith(says)
    assert done.stderr.count(b"\n") == 1


def test_a_missing_argument_is_no_grade(folder):
    done = subprocess.run(
        arguments("key.csv"), cwd=folder, env=environment(folder), capture_output=True
    )
    assert (done.returncode, done.stdout) == (2, b"")
    assert b"ANSWERS.csv" in done.stderr


def test_a_terminal_that_knows_ascii_only_still_gets_every_name(folder):
    (folder / "cards.csv").write_text("name,placing\nZofia Brzeżnicka,1-2\n", "utf-8")
    done = run(folder, PYTHONIOENCODING="ascii")
    assert done.returncode == 0
    assert rows(done)[0]["name"] == "Zofia Brzeżnicka"


def test_a_terminal_shows_how_far_it_is(folder):
    ours, theirs = pty.openpty()
    done = subprocess.run(
        arguments("key.csv", "cards.csv"),
        cwd=folder,
        env=environment(folder),
        stdout=subprocess.PIPE,
        stderr=theirs,
    )
    shown = os.read(ours, 4096).decode()
    os.close(ours)
    os.close(theirs)
    assert "[##############################] 3 of 3 cards" in shown
    assert done.stdout.decode().startswith(HEADER)


def test_a_reader_that_stops_early_is_no_failure(folder):
    (folder / "cards.csv").write_text("name,placing\n" + "Ann,4-2-3-1\n" * 6000)
    command = subprocess.Popen(
        arguments("key.csv", "cards.csv"),
        cwd=folder,
        env=environment(folder),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert command.stdout.readline().decode() == HEADER + "\n"
    command.stdout.close()
    assert command.stderr.read() == b""
    command.stderr.close()
    assert command.wait() == 0
