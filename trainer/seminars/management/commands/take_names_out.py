"""Take names out of the attendance of seminars that were long enough ago, for a schedule."""

from django.core.management.base import BaseCommand
from django.utils import timezone

from trainer.seminars import keeping


class Command(BaseCommand):
    help = (
        "Takes the names of attendees out of seminars whose club keeps them no longer: attendance, certificates and "
        "single answers. Hours, sums of results and comments stay. Run it once a day."
    )

    def handle(self, *args, **options):
        now = timezone.now()
        for seminar in keeping.due(now):
            n = keeping.take_names_out(seminar, now)
            self.stdout.write(f"{seminar.club.slug}, seminar {seminar.pk}: {n}.")
