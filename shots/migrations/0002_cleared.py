"""Substitutions cleared by the client's legal reader."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("portal", "0005_waivers"), ("shots", "0001_initial")]

    operations = [
        migrations.AddField(
            model_name="herofood",
            name="cleared_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="herofood",
            name="cleared_by",
            field=models.CharField(blank=True, max_length=120, verbose_name="substitution cleared by"),
        ),
        migrations.AddField(
            model_name="herofood",
            name="cleared_by_member",
            field=models.ForeignKey(
                blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="portal.member"
            ),
        ),
    ]
