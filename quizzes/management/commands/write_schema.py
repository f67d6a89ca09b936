"""Write what the kinds of exercise hold into the published schema of bundles."""

from django.core.management.base import BaseCommand

from quizzes.bundles import schema


class Command(BaseCommand):
    help = "Brings static/schemas/module-1.schema.json up to date with the kinds of exercise."

    def handle(self, *args, **options):
        text = schema.written(schema.with_kinds(schema.published()))
        schema.path().write_text(text, encoding="utf-8")
        self.stdout.write(f"Written: {schema.path()}.")
