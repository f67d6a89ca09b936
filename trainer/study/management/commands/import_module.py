"""Take in a study module from a document and put it in force."""

import json
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from trainer.accounts.models import User
from trainer.clubs.models import Club
from trainer.study.services import BadDocument, import_module

REFUSED, UNUSABLE = 1, 2


class Command(BaseCommand):
    help = (
        "Takes in a study module as a club's next revision and puts it in force. "
        "Exit code 0: in force; 1: the document was refused and nothing is stored; "
        "2: the file, the club or the author is not to be had."
    )

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path, help="the module document, as JSON")
        parser.add_argument("--club", required=True, help="the club's short name")
        parser.add_argument(
            "--author", required=True, help="e-mail address of a mentor of the club"
        )

    def handle(self, *args, file, club, author, **options):
        found = club_named(club)
        mentor = mentor_with(author, found)
        document = read(file)
        try:
            revision = import_module(found, document, author=mentor, now=timezone.now())
        except BadDocument as error:
            raise CommandError(
                f"{file} was refused. {error.messages[0]}", returncode=REFUSED
            ) from error
        self.stdout.write(
            f"{revision.title}, revision {revision.number}, is in force in {found} "
            f"({revision.module.get_absolute_url()})."
        )


def read(file: Path):
    try:
        return json.loads(file.read_text(encoding="utf-8-sig"))
    except (OSError, UnicodeDecodeError) as error:
        raise CommandError(f"{file}: {error}", returncode=UNUSABLE) from error
    except json.JSONDecodeError as error:
        raise CommandError(
            f"{file}, line {error.lineno}, column {error.colno}: no JSON: {error.msg}.",
            returncode=UNUSABLE,
        ) from error


def club_named(slug: str) -> Club:
    club = Club.objects.filter(slug=slug).first()
    if club is None:
        known = ", ".join(Club.objects.values_list("slug", flat=True)) or "none yet"
        raise CommandError(
            f"There is no club with the short name “{slug}”. Clubs: {known}.",
            returncode=UNUSABLE,
        )
    return club


def mentor_with(email: str, club: Club) -> User:
    """The person with that address, whatever its case, if a mentor of the club."""
    person = User.objects.filter(email__iexact=email).first()
    if person is None:
        raise CommandError(
            f"Nobody has an account with the address {email}.", returncode=UNUSABLE
        )
    if not Club.objects.taught_by(person).filter(pk=club.pk).exists():
        raise CommandError(f"{person} is no mentor of {club}.", returncode=UNUSABLE)
    return person
