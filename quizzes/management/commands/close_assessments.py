"""Close tries whose time is up, for sites that nobody visits for a while."""

from django.core.management.base import BaseCommand
from django.utils import timezone

from quizzes.assessments.tries import AT_ONCE, close_due


class Command(BaseCommand):
    help = (
        "Closes the tries at assessments whose time is up, as they stood then. The site does so by itself at the "
        "next request that concerns assessments; this is for a schedule, so that results don't wait for one."
    )

    def handle(self, *args, **options):
        closed, now = 0, timezone.now()
        while n := close_due(now):
            closed += n
            if n < AT_ONCE:
                break
        self.stdout.write(f"Closed: {closed}.")
