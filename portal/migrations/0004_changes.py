"""Changes to a locked brief."""

import django.db.models.deletion
from django.db import migrations, models

import portal.changes.models
import portal.keys


class Migration(migrations.Migration):
    dependencies = [("portal", "0003_looks")]

    operations = [
        migrations.CreateModel(
            name="Change",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("key", models.CharField(default=portal.keys.new_key, editable=False, max_length=12, unique=True)),
                ("number", models.PositiveIntegerField()),
                (
                    "kind",
                    models.CharField(
                        choices=[("change", "Change"), ("pivot", "Pivot on set")], default="change", max_length=10
                    ),
                ),
                ("what", models.TextField(max_length=1000, verbose_name="what shall be different")),
                ("why", models.TextField(blank=True, max_length=2000, verbose_name="why")),
                ("asked_by", models.CharField(blank=True, max_length=160, verbose_name="who asked for it")),
                ("raised_at", models.DateTimeField()),
                ("happened_at", models.DateTimeField(blank=True, null=True)),
                ("hours_low", models.DecimalField(blank=True, decimal_places=2, max_digits=6, null=True)),
                ("hours_likely", models.DecimalField(blank=True, decimal_places=2, max_digits=6, null=True)),
                ("hours_high", models.DecimalField(blank=True, decimal_places=2, max_digits=6, null=True)),
                ("money", models.DecimalField(blank=True, decimal_places=2, max_digits=12, null=True)),
                ("currency", models.CharField(blank=True, max_length=8)),
                (
                    "retouching",
                    models.TextField(blank=True, max_length=1000, verbose_name="what it does to retouching"),
                ),
                ("plates", models.TextField(blank=True, max_length=1000, verbose_name="plates that it needs")),
                ("lists", models.TextField(blank=True, max_length=1000, verbose_name="what it does to lists")),
                ("opens", models.JSONField(blank=True, default=list)),
                ("opens_words", models.TextField(blank=True)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("asked", "Waits for a decision"),
                            ("accepted", "Accepted"),
                            ("refused", "Refused"),
                            ("withdrawn", "Withdrawn"),
                        ],
                        default="asked",
                        max_length=10,
                    ),
                ),
                ("decided_at", models.DateTimeField(blank=True, null=True)),
                ("decided_why", models.TextField(blank=True, max_length=2000)),
                ("decided_name", models.CharField(blank=True, max_length=120, verbose_name="name as it was typed")),
                ("present", models.JSONField(blank=True, default=list, verbose_name="who was present")),
                ("agrees_name", models.CharField(blank=True, max_length=120, verbose_name="signer present who agrees")),
                ("sent_as", models.CharField(max_length=64)),
                ("salt", models.CharField(default=portal.changes.models.new_salt, max_length=32)),
                (
                    "campaign",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="changes", to="portal.campaign"
                    ),
                ),
                (
                    "decided_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="portal.member",
                    ),
                ),
                (
                    "in_version",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="changes",
                        to="portal.version",
                    ),
                ),
                (
                    "on_version",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="portal.version"
                    ),
                ),
                (
                    "photo",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="portal.storedfile",
                    ),
                ),
                (
                    "raised_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="portal.member"
                    ),
                ),
            ],
            options={
                "ordering": ["number"],
                "constraints": [
                    models.UniqueConstraint(fields=("campaign", "number"), name="one_change_a_number"),
                    models.UniqueConstraint(fields=("campaign", "sent_as"), name="one_change_a_token"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("decided_at", None), ("in_version", None), ("state", "asked")),
                            models.Q(("decided_at__isnull", False), ("state", "accepted")),
                            models.Q(
                                ("decided_at__isnull", False),
                                ("in_version", None),
                                ("state__in", ["refused", "withdrawn"]),
                            ),
                            _connector="OR",
                        ),
                        name="change_decided_with_its_state",
                    ),
                ],
            },
        ),
    ]
