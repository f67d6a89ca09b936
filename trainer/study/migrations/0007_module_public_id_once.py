import uuid

from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('study', '0006_fill_public_id'),
    ]

    operations = [
        migrations.AlterField(
            model_name='module',
            name='public_id',
            field=models.UUIDField(default=uuid.uuid4, editable=False),
        ),
        migrations.AddConstraint(
            model_name='module',
            constraint=models.UniqueConstraint(fields=('club', 'public_id'), name='study_module_public_id_once'),
        ),
    ]
