"""Bring a campaign back from its archive: `manage.py import_campaign OAT-27.zip`."""

from pathlib import Path
from typing import Any

from django.core.management.base import CommandParser

from portal.management.report import ReportCommand
from portal.record.archive import Damaged
from portal.sealing import archive_in
from portal.site.sentences import count, joined, sentence


class Command(ReportCommand):
    help = (
        "Bring back a campaign that export_campaign wrote, with the digests that it had: log, versions and files are "
        "proven before anything counts. Accounts come without passwords and may not start campaigns: people "
        "sign in with a code by e-mail, or set a password anew. Exit status 0: it is there; 2: it was refused whole."
    )
    refusals = (Damaged, archive_in.AlreadyThere)

    def takes(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE", help="the ZIP that export_campaign wrote")

    def compute(self, options: dict[str, Any]) -> dict[str, Any]:
        return archive_in.read(options["file"])

    def words(self, result: dict[str, Any]) -> str:
        held = joined(
            [
                count(result["versions"], "version"),
                count(result["log_entries"], "entry of the log", "entries of the log"),
                count(result["files"], "file"),
                count(result["members"], "member"),
            ]
        )
        lines = [f"{result['campaign']}, {result['title']}, is back, and it is whole: {held}."]
        if result["new_accounts"]:
            many = count(len(result["new_accounts"]), "account")
            lines.append(sentence(f"{many} came without a password: {joined(result['new_accounts'])}"))
            lines.append("They sign in with a code by e-mail, or set a password anew.")
        if not result["draft_as_it_was"]:
            lines.append("The draft is drawn up otherwise by this release; what was signed is as it was.")
        return "\n".join(lines)
