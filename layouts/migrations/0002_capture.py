"""The capture plan of a shot: its settings, and the plan that was accepted."""

import django.core.validators
import django.db.models.deletion
from django.db import migrations, models

import portal.keys


def _between(low: float, high: float) -> list[object]:
    return [django.core.validators.MinValueValidator(low), django.core.validators.MaxValueValidator(high)]


class Migration(migrations.Migration):
    dependencies = [
        ("layouts", "0001_initial"),
        ("portal", "0001_initial"),
        ("shots", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="CapturePlan",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "key",
                    models.CharField(default=portal.keys.new_key, editable=False, max_length=12, unique=True),
                ),
                ("margin", models.FloatField(default=0.03, validators=_between(0, 0.25))),
                ("enlargement", models.FloatField(default=1, validators=_between(1, 4))),
                ("hero_aspect", models.FloatField(blank=True, null=True, validators=_between(0.02, 50))),
                ("dropped", models.JSONField(blank=True, default=list)),
                ("tolerances", models.JSONField(blank=True, default=dict)),
                ("sensor_mm", models.FloatField(blank=True, null=True, validators=_between(1, 1000))),
                ("hero_mm", models.FloatField(blank=True, null=True, validators=_between(1, 100_000))),
                ("distance_mm", models.FloatField(blank=True, null=True, validators=_between(10, 100_000))),
                ("focal_mm", models.FloatField(blank=True, null=True, validators=_between(1, 5000))),
                ("accepted", models.JSONField(blank=True, null=True)),
                ("digest", models.CharField(blank=True, max_length=64)),
                ("accepted_at", models.DateTimeField(blank=True, null=True)),
                (
                    "accepted_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="portal.member",
                    ),
                ),
                (
                    "shot",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="capture_plan",
                        to="shots.shot",
                    ),
                ),
            ],
            options={"abstract": False},
        ),
    ]
