"""Changes to a locked brief."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("portal", "0003_looks")]

    operations: list[object] = []
