"""Waivers and agreed limits."""

import django.core.validators
import django.db.models.deletion
from django.db import migrations, models

import portal.keys


class Migration(migrations.Migration):
    dependencies = [("portal", "0004_changes")]

    operations = [
        migrations.AddField(
            model_name="campaign",
            name="hero_overlap",
            field=models.PositiveSmallIntegerField(
                default=2,
                validators=[django.core.validators.MaxValueValidator(100)],
                verbose_name="most of the hero that may be covered",
            ),
        ),
        migrations.AddField(
            model_name="campaign",
            name="least_contrast",
            field=models.FloatField(
                default=3.0,
                validators=[
                    django.core.validators.MinValueValidator(1),
                    django.core.validators.MaxValueValidator(21),
                ],
                verbose_name="least contrast of type",
            ),
        ),
        migrations.CreateModel(
            name="Waiver",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                (
                    "key",
                    models.CharField(default=portal.keys.new_key, editable=False, max_length=12, unique=True),
                ),
                ("finding", models.CharField(max_length=64)),
                ("kind", models.CharField(max_length=40)),
                ("says", models.TextField(verbose_name="what was waived")),
                ("what", models.CharField(max_length=400)),
                ("reason", models.TextField(max_length=2000, verbose_name="why")),
                ("typed_name", models.CharField(max_length=120, verbose_name="name as typed")),
                ("given_role", models.CharField(max_length=40)),
                ("given_at", models.DateTimeField()),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                ("holds", models.BooleanField(default=True)),
                (
                    "campaign",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="waivers", to="portal.campaign"
                    ),
                ),
                (
                    "given_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="portal.member"
                    ),
                ),
                (
                    "withdrawn_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="portal.member",
                    ),
                ),
            ],
            options={
                "ordering": ["given_at", "pk"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("withdrawn_at", None)),
                        fields=("campaign", "finding"),
                        name="one_waiver_a_finding",
                    )
                ],
            },
        ),
    ]
