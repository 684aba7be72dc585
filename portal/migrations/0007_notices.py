"""Notices and how each member wants them."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("portal", "0006_signing")]

    operations: list[object] = []
