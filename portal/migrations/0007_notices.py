"""Notices and how each member wants them."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

HOW = [
    ("at-once", "At once"),
    ("daily", "Once a day"),
    ("waits", "Only what waits for me"),
    ("none", "Not at all"),
]


def pk():
    return models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")


def wish():
    return [
        ("how", models.CharField(choices=HOW, default="at-once", max_length=8)),
        ("hour", models.PositiveSmallIntegerField(default=8)),
    ]


class Migration(migrations.Migration):
    dependencies = [("portal", "0006_signing")]

    operations = [
        migrations.CreateModel(
            name="MemberWish",
            fields=[
                ("id", pk()),
                *wish(),
                (
                    "member",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="notice_wish", to="portal.member"
                    ),
                ),
            ],
            options={"abstract": False},
        ),
        migrations.CreateModel(
            name="PersonWish",
            fields=[
                ("id", pk()),
                *wish(),
                ("time_zone", models.CharField(blank=True, max_length=64)),
                (
                    "user",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="notice_wish",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={"abstract": False},
        ),
        migrations.CreateModel(
            name="Notice",
            fields=[
                ("id", pk()),
                ("sequence", models.PositiveIntegerField()),
                ("kind", models.CharField(max_length=24)),
                ("subject", models.CharField(blank=True, max_length=40)),
                ("waits", models.BooleanField(default=False)),
                ("link", models.CharField(max_length=300)),
                ("made_at", models.DateTimeField()),
                ("sent_at", models.DateTimeField(blank=True, null=True)),
                ("settled_at", models.DateTimeField(blank=True, null=True)),
                (
                    "member",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="notices", to="portal.member"
                    ),
                ),
            ],
            options={
                "ordering": ["sequence", "pk"],
                "indexes": [
                    models.Index(
                        condition=models.Q(("sent_at", None), ("settled_at", None)),
                        fields=["member", "made_at"],
                        name="notice_open",
                    ),
                    models.Index(fields=["member", "kind", "subject"], name="notice_subject"),
                ],
                "constraints": [models.UniqueConstraint(fields=("member", "sequence"), name="told_once")],
            },
        ),
    ]
