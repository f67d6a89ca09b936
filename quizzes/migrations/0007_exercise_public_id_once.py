import uuid

from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('quizzes', '0006_fill_public_id'),
    ]

    operations = [
        migrations.AlterField(
            model_name='exercise',
            name='public_id',
            field=models.UUIDField(default=uuid.uuid4, editable=False),
        ),
        migrations.AddConstraint(
            model_name='exercise',
            constraint=models.UniqueConstraint(fields=('club', 'public_id'), name='quizzes_exercise_public_id_once'),
        ),
    ]
