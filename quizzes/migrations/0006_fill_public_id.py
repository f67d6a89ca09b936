import uuid

from django.db import migrations


def fill(apps, schema_editor):
    """An id of its own for each row that has none."""
    model = apps.get_model('quizzes', 'Exercise')
    bare = model.objects.filter(public_id=None)
    while rows := list(bare.only('pk')[:500]):
        for row in rows:
            row.public_id = uuid.uuid4()
        model.objects.bulk_update(rows, ['public_id'])


class Migration(migrations.Migration):

    dependencies = [
        ('quizzes', '0005_exercise_public_id'),
    ]

    operations = [
        migrations.RunPython(fill, migrations.RunPython.noop),
    ]
