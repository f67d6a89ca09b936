from django.core.management.base import BaseCommand
from django.db import transaction
from django.utils import timezone

from quizzes.demo import PASSWORD, load_demo, read
from trainer.seminars.demo import add_seminars


class Command(BaseCommand):
    help = "Load the demo club with its module, classes, trainees and seminars; does nothing if it is there."

    def handle(self, *args, **options):
        now = timezone.now()
        with transaction.atomic():
            made = load_demo(now=now)
            if made:
                add_seminars(made, now=now)
        people = read("people.json")
        self.stdout.write(
            "The demo is loaded." if made else "The demo is there already."
        )
        self.stdout.write(f"Sign in with the password {PASSWORD} as")
        for role in ("mentor", "second_mentor", "organiser"):
            person = people[role]
            label = role.replace("_", " ")
            self.stdout.write(f"  {person['email']:<36} {person['name']} ({label})")
        first = people["trainees"][0]
        self.stdout.write(
            f"  {first['email']:<36} {first['name']} (one of {len(people['trainees'])} trainees)"
        )
