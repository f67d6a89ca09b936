from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('study', '0004_lessons'),
    ]

    operations = [
        migrations.AddField(
            model_name='module',
            name='public_id',
            field=models.UUIDField(editable=False, null=True),
        ),
    ]
