"""Write a module of a club as a bundle."""

from io import BytesIO
from pathlib import Path

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from quizzes.bundles import bag, checking, documents
from quizzes.management.commands.import_bundle import REFUSED, UNUSABLE, club_named


class Command(BaseCommand):
    help = (
        "Writes a module with its exercises, drawings and those photographs that may leave the club as a bundle. "
        "Exit code 0: written; 1: it would not come in again, and nothing is written; "
        "2: the club, the module or the file is not to be had."
    )

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path, help="the bundle to write, a ZIP")
        parser.add_argument("--club", required=True, help="the club's short name")
        parser.add_argument("--module", required=True, help="the module's short name")
        parser.add_argument(
            "--profile",
            choices=[documents.AUTHORING, documents.READING],
            default=documents.AUTHORING,
            help="with keys and levels, or without",
        )

    def handle(self, *args, file, club, module, profile, **options):
        found = club_named(club).modules.filter(slug=module).first()
        if found is None:
            known = ", ".join(club_named(club).modules.values_list("slug", flat=True))
            raise CommandError(
                f"The club has no module “{module}”. Modules: {known or 'none yet'}.",
                returncode=UNUSABLE,
            )
        revision = found.revisions.in_force().first() or found.revisions.first()
        now = timezone.now()
        made = documents.export(revision, profile=profile, now=now)
        try:
            data = bag.written(made.bag, now=now)
            checking.checked(bag.read(BytesIO(data)))
        except ValidationError as error:
            raise CommandError(" ".join(error.messages), returncode=REFUSED) from error
        try:
            file.write_bytes(data)
        except OSError as error:
            raise CommandError(f"{file}: {error}", returncode=UNUSABLE) from error
        self.stdout.write(f"{revision.title}, revision {revision.number}: {file}.")
        for picture, why in made.kept_back.items():
            self.stdout.write(f"Photograph {picture} stays here: {why}.")
        for title, why in made.left_out:
            self.stdout.write(f"“{title}” stays here: {why}.")
