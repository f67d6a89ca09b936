"""Reminders of seminars that are near, for a schedule."""

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from trainer.http import address_of
from trainer.seminars import mails


class Command(BaseCommand):
    help = (
        "Reminds by mail whoever has a place at a seminar that begins in as many days as it says, each once. Run it "
        "once a day. TRAINER_SITE is the address that the links in the mails begin with."
    )

    def handle(self, *args, **options):
        now, unsent = timezone.now(), []
        for seminar in mails.due(now):
            try:
                n = mails.remind(seminar, address_of, now=now)
            except OSError as error:
                unsent.append(f"seminar {seminar.pk}: {error}")
            else:
                self.stdout.write(f"{seminar.club.slug}, seminar {seminar.pk}: {n}.")
        if unsent:
            raise CommandError("Mails could not be sent. " + "; ".join(unsent))
