"""Load the demo campaign: an invented scenario, played through the same actions that people use."""

from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError

from fixtures.demo import build
from portal.models import Campaign


class Command(BaseCommand):
    help = __doc__

    def handle(self, *args: Any, **options: Any) -> None:
        if Campaign.objects.filter(code=build.SCENARIO["campaign"]["code"]).exists():
            raise CommandError("The demo campaign is there already.")
        self.stdout.write("Drawing the demo's layouts and loading its campaign ...")
        build.build(settings.DATA / "demo-layouts")
        (settings.DATA / "people.txt").write_text(build.people())
