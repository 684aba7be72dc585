"""Make database, static files and (with --demo) the demo campaign ready; run again, it does only what is missing."""

import hashlib
import sys
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.staticfiles import finders
from django.core.management import BaseCommand, CommandError, call_command
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor

from portal.models import User


class Command(BaseCommand):
    help = __doc__

    def add_arguments(self, parser: Any) -> None:
        parser.add_argument("--demo", action="store_true", help="load the demo where there is no account yet")

    def handle(self, *args: Any, demo: bool, **options: Any) -> None:
        try:
            self.migrate()
            self.collect_static()
            if demo and not User.objects.exists():
                call_command("load_demo", stdout=self.stdout)
        except OSError as wrong:
            raise CommandError(f"{wrong.strerror or wrong}: {wrong.filename or settings.DATA}") from wrong
        except DatabaseError as wrong:
            raise CommandError(f"The database says: {wrong}") from wrong

    def migrate(self) -> None:
        executor = MigrationExecutor(connection)
        if executor.migration_plan(executor.loader.graph.leaf_nodes()):
            self.stdout.write("Preparing the database ...")
            call_command("migrate", verbosity=0)

    def collect_static(self) -> None:
        """Only when a static file has changed: hashing and compressing takes seconds."""
        seen = hashlib.sha256(sys.version.encode())
        for finder in finders.get_finders():
            for name, storage in sorted(finder.list([]), key=lambda found: found[0]):
                status = Path(storage.path(name)).stat()
                seen.update(f"{name} {status.st_size} {status.st_mtime_ns}\n".encode())
        stamp = settings.DATA / "static.stamp"
        if stamp.exists() and stamp.read_text() == seen.hexdigest() and settings.STATIC_ROOT.exists():
            return
        call_command("collectstatic", interactive=False, clear=True, verbosity=0)
        stamp.write_text(seen.hexdigest())
