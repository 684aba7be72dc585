"""The capture plan that was accepted."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("layouts", "0001_initial")]

    operations: list[object] = []
