"""The order of signing, delegation, and what a signer could read."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("portal", "0005_waivers")]

    operations: list[object] = []
