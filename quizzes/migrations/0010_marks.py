import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("quizzes", "0009_panels"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Mark",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "part",
                    models.CharField(
                        choices=[
                            ("first", "first mark"),
                            ("second", "second mark"),
                            ("agreed", "agreed mark"),
                        ],
                        max_length=6,
                    ),
                ),
                (
                    "state",
                    models.CharField(
                        choices=[("draft", "draft"), ("final", "final")],
                        default="draft",
                        max_length=5,
                    ),
                ),
                ("points", models.JSONField(default=list)),
                ("comments", models.JSONField(default=list)),
                ("overall", models.TextField(blank=True)),
                ("version", models.PositiveIntegerField(default=0)),
                ("saved_at", models.DateTimeField(null=True)),
                ("returned_at", models.DateTimeField(null=True)),
                (
                    "attempt",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="marks",
                        to="quizzes.attempt",
                    ),
                ),
                (
                    "marker",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["attempt", "pk"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("attempt", "part"), name="quizzes_mark_part_once"
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("returned_at__isnull", False)),
                        fields=("attempt",),
                        name="quizzes_mark_one_returned",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("returned_at__isnull", True),
                            ("state", "final"),
                            _connector="OR",
                        ),
                        name="quizzes_mark_returned_final",
                    ),
                ],
            },
        ),
    ]
