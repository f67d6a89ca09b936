"""Grading a room's paper cards from the command line."""

import os
import sys
from pathlib import Path

from django.core.management.base import BaseCommand

from quizzes.grading.problems import Problem
from quizzes.grading.sheet import grade_sheet, read_answers, read_key

BAR = 30
NOT_ALL_GRADED, UNUSABLE = 1, 2


class Command(BaseCommand):
    help = (
        "Grade a room's paper cards against a key and write a table of them. "
        "Exit status: 0 if every card was graded, 1 if some were not (the column "
        "problem says why), 2 if a file is unusable."
    )
    requires_system_checks = []

    def add_arguments(self, parser):
        parser.add_argument(
            "key",
            type=Path,
            metavar="KEY.csv",
            help="header armband,place,cut,ruling; equal places mean either order",
        )
        parser.add_argument(
            "answers",
            type=Path,
            metavar="ANSWERS.csv",
            help="header name,placing,rulings; a placing is written like 4-2=3-1",
        )
        parser.add_argument(
            "--json", action="store_true", help="write JSON instead of CSV"
        )

    def handle(self, *, key, answers, json, **options):
        mentor = self.read(key, read_key)
        cards = self.read(answers, read_answers)
        sheet = grade_sheet(mentor, cards, self.bar if sys.stderr.isatty() else None)
        self.put(sheet.to_json() + "\n" if json else sheet.to_csv())
        if sheet.problems:
            sys.exit(NOT_ALL_GRADED)

    def read(self, path, read_table):
        """The table in the file; ends the command if there is none that can be used."""
        try:
            return read_table(path.read_bytes())
        except OSError as error:
            self.stderr.write(f"{path} cannot be read: {error.strerror}.")
        except Problem as problem:
            self.stderr.write(f"{path}: {problem}")
        sys.exit(UNUSABLE)

    def bar(self, done, total):
        """Draw how much is done; the line ends when all is."""
        full = BAR * done // total
        line = f"\r[{'#' * full:.<{BAR}}] {done:,} of {total:,} cards"
        self.stderr.write(line, ending="\n" if done == total else "")
        self.stderr.flush()

    def put(self, text):
        """Write to standard output, in UTF-8 whatever the terminal's own encoding."""
        if hasattr(self.stdout, "reconfigure"):
            self.stdout.reconfigure(encoding="utf-8", newline="\n")
        try:
            self.stdout.write(text, ending="")
            self.stdout.flush()
        except BrokenPipeError:
            # Whoever read has seen enough. Python would fail once more as it closes.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
