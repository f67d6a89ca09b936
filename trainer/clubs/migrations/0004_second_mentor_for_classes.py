from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("clubs", "0003_invitation_note"),
    ]

    operations = [
        migrations.AlterField(
            model_name="club",
            name="second_mentor",
            field=models.BooleanField(
                default=False,
                help_text="Another mentor than the one who offers it puts it in force.",
                verbose_name="a second mentor looks at a module or a class before it is published",
            ),
        ),
    ]
