from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('quizzes', '0004_builds'),
    ]

    operations = [
        migrations.AddField(
            model_name='exercise',
            name='public_id',
            field=models.UUIDField(editable=False, null=True),
        ),
    ]
