from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('layouts', '0001_initial'),
    ]

    operations = [
        migrations.AddField(
            model_name='placement',
            name='dropped',
            field=models.BooleanField(default=False),
        ),
    ]
