"""Load the demo: two campaigns of an invented scenario, played through the same actions that people use."""

from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError
from django.db import transaction

from fixtures.demo import build, people
from fixtures.demo.scenario import LOCKED, SCENARIO
from portal.models import Campaign


class Command(BaseCommand):
    help = __doc__

    def handle(self, *args: Any, **options: Any) -> None:
        codes = [told["campaign"]["code"] for told in (SCENARIO, LOCKED)]
        if Campaign.objects.filter(code__in=codes).exists():
            raise CommandError("The demo is there already.")
        self.stdout.write(
            "Drawing the demo's layouts and playing its two campaigns: half a minute, on a busy machine two."
        )
        # The note of how to sign in is there as soon as the people are.
        with transaction.atomic():
            build.build(settings.DATA / "demo-layouts")
            (settings.DATA / "people.txt").write_text(people.told())
