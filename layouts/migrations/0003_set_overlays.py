"""Set overlays."""

import django.db.models.deletion
from django.db import migrations, models

import portal.keys


class Migration(migrations.Migration):
    dependencies = [
        ("layouts", "0002_capture"),
        ("portal", "0001_initial"),
        ("shots", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="SetOverlay",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "key",
                    models.CharField(default=portal.keys.new_key, editable=False, max_length=12, unique=True),
                ),
                ("capture", models.PositiveSmallIntegerField()),
                ("asked_at", models.DateTimeField()),
                (
                    "asked_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="portal.member"
                    ),
                ),
                (
                    "shot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="set_overlays", to="shots.shot"
                    ),
                ),
                (
                    "version",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="portal.version",
                    ),
                ),
                (
                    "work",
                    models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="portal.work"),
                ),
            ],
            options={"ordering": ["shot", "-asked_at", "capture"]},
        ),
        migrations.AddConstraint(
            model_name="setoverlay",
            constraint=models.UniqueConstraint(fields=("shot", "work"), name="one_set_overlay_a_work"),
        ),
    ]
