import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("clubs", "0004_second_mentor_for_classes"),
        ("quizzes", "0007_exercise_public_id_once"),
        ("study", "0007_module_public_id_once"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name="revision",
            name="offered_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="revision",
            name="offered_by",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.SET_NULL,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AlterField(
            model_name="revision",
            name="state",
            field=models.CharField(
                choices=[
                    ("draft", "draft"),
                    ("published", "in force"),
                    ("superseded", "superseded"),
                    ("withdrawn", "withdrawn"),
                ],
                default="draft",
                max_length=10,
            ),
        ),
        migrations.CreateModel(
            name="LibraryDog",
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
                    "name",
                    models.CharField(
                        help_text="For your own use; never shown to trainees.",
                        max_length=80,
                        verbose_name="name",
                    ),
                ),
                (
                    "note",
                    models.TextField(
                        blank=True,
                        help_text="For mentors only. Found by the search.",
                        max_length=1000,
                        verbose_name="note",
                    ),
                ),
                (
                    "sex",
                    models.CharField(default="dog", max_length=5, verbose_name="sex"),
                ),
                ("age_months", models.PositiveSmallIntegerField(null=True)),
                ("ringside", models.TextField(blank=True)),
                ("hands_on", models.TextField(blank=True)),
                ("levels", models.JSONField(default=dict)),
                ("breed", models.SlugField(blank=True)),
                ("faults", models.JSONField(default=dict)),
                ("coat_seed", models.PositiveIntegerField(default=0)),
                ("mirror", models.BooleanField(default=False)),
                ("build", models.JSONField(default=dict)),
                ("pictures", models.JSONField(default=dict)),
                (
                    "credit",
                    models.CharField(blank=True, max_length=120, verbose_name="credit"),
                ),
                ("version", models.PositiveIntegerField(default=1, editable=False)),
                ("edited_at", models.DateTimeField()),
                ("archived_at", models.DateTimeField(editable=False, null=True)),
                (
                    "club",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="library_dogs",
                        to="clubs.club",
                    ),
                ),
                (
                    "edited_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "module",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="library_dogs",
                        to="study.module",
                        verbose_name="study module",
                    ),
                ),
            ],
            options={
                "ordering": ["name", "pk"],
                "indexes": [
                    models.Index(fields=["club", "name"], name="quizzes_library_name")
                ],
            },
        ),
    ]
