"""Answers for every role on the job."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("shots", "0002_cleared")]

    operations: list[object] = []
