"""The order of signing, delegation, what a signer could read, the price of a round, and salts of accounts' digests.

On SQLite a table that is altered is made anew without its triggers: portal/sealing/guard.py puts them back after every
migration.
"""

import django.db.models.deletion
from django.db import migrations, models

import portal.keys
import portal.people.models


class Migration(migrations.Migration):
    dependencies = [("portal", "0005_waivers")]

    operations = [
        migrations.AddField(
            model_name="campaign",
            name="round_price",
            field=models.CharField(blank=True, max_length=120, verbose_name="price of a further round"),
        ),
        migrations.AddField(
            model_name="campaign",
            name="sign_in_order",
            field=models.BooleanField(default=False, verbose_name="the agency signs before the client"),
        ),
        migrations.AddField(
            model_name="member",
            name="account_salt",
            field=models.CharField(default=portal.people.models.new_salt, editable=False, max_length=32),
        ),
        migrations.AddField(
            model_name="signoff",
            name="given_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="portal.member",
            ),
        ),
        migrations.AddField(model_name="signoff", name="sections", field=models.JSONField(default=dict)),
        migrations.CreateModel(
            name="Delegation",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                (
                    "key",
                    models.CharField(default=portal.keys.new_key, editable=False, max_length=12, unique=True),
                ),
                ("first_day", models.DateField()),
                ("last_day", models.DateField()),
                ("set_up_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                (
                    "campaign",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="delegations", to="portal.campaign"
                    ),
                ),
                (
                    "delegate",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="stands_in", to="portal.member"
                    ),
                ),
                (
                    "signer",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="delegations", to="portal.member"
                    ),
                ),
            ],
            options={
                "ordering": ["first_day", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("last_day__gte", models.F("first_day"))), name="delegation_ends_after"
                    )
                ],
            },
        ),
    ]
