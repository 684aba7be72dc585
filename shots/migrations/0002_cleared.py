"""Substitutions cleared by the client."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("shots", "0001_initial")]

    operations: list[object] = []
