"""Take in a module from a bundle, or from a module document alone."""

from pathlib import Path

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from quizzes.bundles import checking, importing
from trainer.accounts.models import User
from trainer.clubs.models import Club

REFUSED, UNUSABLE = 1, 2


class Command(BaseCommand):
    help = (
        "Takes in a module with its exercises and photographs as drafts of a mentor; says what it brings. "
        "Exit code 0: taken in; 1: the bundle was refused and nothing is stored; "
        "2: the file, the club or the author is not to be had."
    )

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path, help="the bundle, or a JSON document")
        parser.add_argument("--club", required=True, help="the club's short name")
        parser.add_argument(
            "--author", required=True, help="e-mail address of a mentor of the club"
        )
        parser.add_argument(
            "--publish", action="store_true", help="put all of it in force at once"
        )
        parser.add_argument(
            "--dry-run", action="store_true", help="say what would be made, and no more"
        )
        parser.add_argument(
            "--agreed",
            action="store_true",
            help="the author has the right to use the photographs here and the owners of the dogs agree",
        )

    def handle(self, *args, file, club, author, publish, dry_run, agreed, **options):
        found = club_named(club)
        who = {"club": found, "by": mentor_with(author, found), "now": timezone.now()}
        try:
            with file.open("rb") as opened:
                bundle = checking.from_file(opened, found)
            if dry_run:
                report = importing.trial(bundle, **who)
            else:
                report = taken(bundle, publish, agreed=agreed, **who)
        except OSError as error:
            raise CommandError(f"{file}: {error}", returncode=UNUSABLE) from error
        except ValidationError as error:
            said = " ".join(error.messages)
            raise CommandError(
                f"{file} was refused. {said}", returncode=REFUSED
            ) from error
        self.tell(report, found)

    def tell(self, report: importing.Report, club: Club) -> None:
        lines = [f"{report.module.title}, in {club}: {report.module.said}."]
        lines += [f"  {one.title}: {one.said}." for one in report.exercises]
        new, known = report.new_photographs, report.known_photographs
        lines.append(f"  Photographs: {new} new, {known} there already.")
        lines += [f"  {note}" for note in report.notes]
        self.stdout.write("\n".join(lines))


@transaction.atomic
def taken(bundle, publish: bool, *, agreed: bool, club, by, now) -> importing.Report:
    report = importing.take(bundle, club=club, by=by, now=now, agreed=agreed)
    if publish:
        importing.publish(report, now=now)
    return report


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
