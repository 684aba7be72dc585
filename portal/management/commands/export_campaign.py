"""Write a campaign as one ZIP that opens without a portal: `manage.py export_campaign OAT-27 --out OAT-27.zip`."""

import contextlib
from pathlib import Path
from typing import Any

from django.core.management.base import CommandParser

from portal.brief.models import Campaign
from portal.management.report import ReportCommand, Unusable
from portal.sealing import archive_out
from portal.site.sentences import count

_TRIES = 3


class Command(ReportCommand):
    help = (
        "Write a campaign as one ZIP: every version's document, every file, the log, and a page that opens offline. It "
        "holds all that anybody wrote, also what only one side or the crew may read: keep it like the database. Prove "
        "the campaign first, with verify_campaign. Exit status 0: written; 2: it could not be, and nothing was."
    )
    refusals = (archive_out.Moved,)

    def takes(self, parser: CommandParser) -> None:
        parser.add_argument("code", help="the campaign's code, such as OAT-27")
        parser.add_argument("--out", type=Path, required=True, metavar="FILE", help="the ZIP to write")

    def compute(self, options: dict[str, Any]) -> dict[str, Any]:
        out: Path = options["out"]
        if out.exists():
            raise Unusable(f"{out} is there already. Name another file.")
        for _ in range(_TRIES):
            campaign = Campaign.objects.filter(code=options["code"]).first()
            if campaign is None:
                raise Unusable(f"There is no campaign with the code {options['code']}.")
            # Beside it and renamed: what stands under the name is always whole.
            unfinished = out.with_name(f"{out.name}.unfinished")
            # Before a byte is in it: nobody else on the machine reads a campaign from its archive.
            unfinished.touch(mode=0o600)
            with contextlib.suppress(archive_out.Moved):
                found = archive_out.write(campaign, unfinished)
                unfinished.replace(out)
                return {**found, "file": str(out)}
        raise Unusable("People are at work in this campaign, so that no archive would fit itself. Try again later.")

    def words(self, result: dict[str, Any]) -> str:
        held = ", ".join(
            [
                count(result["versions"], "version"),
                count(result["log_entries"], "entry of the log", "entries of the log"),
                count(result["files"], "file"),
            ]
        )
        return (
            f"{result['campaign']}, {result['title']}: {held}, in {result['bytes']} bytes.\n"
            f"Written to {result['file']}; open index.html in it to read it. SHA-256 of its seal: {result['sha256']}"
        )
