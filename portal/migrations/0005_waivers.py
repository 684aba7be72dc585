"""Waivers and agreed limits."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("portal", "0004_changes")]

    operations: list[object] = []
