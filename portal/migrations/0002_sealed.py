"""The database refuses to alter or delete versions, sign-offs and entries of the log (portal/sealing/guard.py)."""

from django.db import migrations

from portal.sealing import guard


def install(apps, schema_editor):
    guard.install(schema_editor.connection)


def remove(apps, schema_editor):
    guard.remove(schema_editor.connection)


class Migration(migrations.Migration):
    dependencies = [("portal", "0001_initial")]

    operations = [migrations.RunPython(install, remove)]
