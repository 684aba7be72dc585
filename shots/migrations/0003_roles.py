"""Answers for every role on the job."""

import django.db.models.deletion
import django.db.models.functions.text
from django.db import migrations, models

import portal.keys

CREW = [
    ("producer", "Shoot producer"),
    ("photographer", "Photographer"),
    ("stylist", "Food stylist"),
    ("props", "Props stylist"),
    ("lighting", "Lighting assistant"),
    ("operator", "Digital operator"),
    ("retoucher", "Retoucher"),
    ("assistant", "Assistant"),
]
ANSWERS = [
    ("open", "not answered"),
    ("named", "named"),
    ("covered", "covered by another"),
    ("not-needed", "not needed"),
]


class Migration(migrations.Migration):
    dependencies = [("shots", "0002_cleared")]

    operations = [
        migrations.CreateModel(
            name="RoleAnswer",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("key", models.CharField(default=portal.keys.new_key, editable=False, max_length=12, unique=True)),
                ("role", models.CharField(blank=True, choices=CREW, max_length=20)),
                ("title", models.CharField(blank=True, max_length=60, verbose_name="role")),
                ("answer", models.CharField(choices=ANSWERS, default="open", max_length=10)),
                ("name", models.CharField(blank=True, max_length=120, verbose_name="name")),
                ("contact", models.CharField(blank=True, max_length=200, verbose_name="how to reach them")),
                ("covered_by", models.CharField(blank=True, max_length=20, verbose_name="covered by")),
                ("agreed_by", models.CharField(blank=True, max_length=120, verbose_name="agreed by")),
                ("reason", models.CharField(blank=True, max_length=300, verbose_name="why")),
                (
                    "campaign",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="role_answers", to="portal.campaign"
                    ),
                ),
                (
                    "member",
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
                "ordering": ["pk"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("role", ""), _negated=True),
                        fields=("campaign", "role"),
                        name="one_answer_a_role",
                    ),
                    models.UniqueConstraint(
                        models.F("campaign"),
                        django.db.models.functions.text.Lower("title"),
                        condition=models.Q(("role", "")),
                        name="one_role_a_title",
                    ),
                ],
            },
        )
    ]
