"""Set overlays."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("layouts", "0002_capture")]

    operations: list[object] = []
