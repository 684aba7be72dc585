"""Prove a campaign whole: `manage.py verify_campaign OAT-27 [--json]`, or an exported log: `--log FILE`."""

from itertools import islice
from pathlib import Path
from typing import Any

from django.core.management.base import CommandParser

from portal.brief.models import Campaign
from portal.management.report import ReportCommand, Unusable
from portal.record import exported
from portal.sealing import verify
from portal.site.sentences import count, sentence


class Command(ReportCommand):
    help = (
        "Prove a campaign whole: the chain of its log, the digests of its versions, sign-offs and changes, its "
        "members, each of its rows, and the bytes of every file that it has. With --log an exported log is proven by "
        "itself and, with a code, against the campaign's. Exit status 0: it is whole; 1: something differs, the first "
        "break named; 2: there is no such campaign or no such file."
    )

    def takes(self, parser: CommandParser) -> None:
        parser.add_argument("code", nargs="?", help="the campaign's code, such as OAT-27")
        parser.add_argument("--log", type=Path, metavar="FILE", help="a log as it was exported, JSON Lines")

    def compute(self, options: dict[str, Any]) -> dict[str, Any]:
        campaign = _campaign(options["code"]) if options["code"] else None
        if options["log"]:
            return _exported(options["log"], campaign)
        if campaign is None:
            raise Unusable("Say which campaign, by its code such as OAT-27, or which exported log, with --log FILE.")
        return _report(campaign, verify.prove(campaign))

    def must_fix(self, result: dict[str, Any]) -> bool:
        return not result["whole"]

    def words(self, result: dict[str, Any]) -> str:
        checked = result["checked"]
        told = [count(checked[key], *words) for key, words in _COUNTED if key in checked]
        if checked.get("files"):
            told[-1] += f" of {checked['bytes']} bytes"
        lines = [f"{result['campaign']}, {result['title']}", f"Checked: {', '.join(told)}."]
        lines += [f"Worth a look, {one['where']}: {sentence(one['says'])}" for one in result["remarks"]]
        if not result["breaks"]:
            return "\n".join([*lines, "It is whole."])
        first, *others = result["breaks"]
        lines.append(f"It is not whole. First break, {first['where']}: {sentence(first['says'])}")
        return "\n".join([*lines, *(f"Also {one['where']}: {sentence(one['says'])}" for one in others)])


_COUNTED = (
    ("entries", ("entry of the log", "entries of the log")),
    ("versions", ("version",)),
    ("sign_offs", ("sign-off",)),
    ("changes", ("change",)),
    ("members", ("member",)),
    ("rows", ("row",)),
    ("files", ("file",)),
)


def _campaign(code: str) -> Campaign:
    found = Campaign.objects.select_related("open_version", "locked_version").filter(code=code).first()
    if found is None:
        raise Unusable(f"There is no campaign with the code {code}.")
    return found


def _report(campaign: Campaign, proof: verify.Proof) -> dict[str, Any]:
    breaks, remarks = (
        [{"where": where, "says": says} for where, says in noted] for noted in (proof.breaks, proof.remarks)
    )
    names = ("entries", "versions", "sign_offs", "changes", "members", "rows", "files", "bytes")
    return {
        "campaign": campaign.code,
        "title": campaign.title,
        "whole": not breaks,
        "checked": {name: getattr(proof, name) for name in names},
        "first_break": breaks[0] if breaks else None,
        "breaks": breaks,
        "remarks": remarks,
    }


def _exported(path: Path, campaign: Campaign | None) -> dict[str, Any]:
    """An exported log by itself; with a campaign, its last entry must stand in the campaign's log."""
    with path.open(encoding="utf-8") as lines:
        try:
            told = exported.first_line("".join(islice(lines, 1)))
            broken = exported.prove(told, lines) if told.whole else None
        except UnicodeDecodeError as wrong:
            raise Unusable(f"{path} is not text in UTF-8.") from wrong
        except exported.Unreadable as wrong:
            raise Unusable(f"{path}: {wrong}") from wrong
    if not told.whole:
        raise Unusable(f"{path} is a part of the log of {told.code}: entries were kept back, so it proves nothing.")
    proof = verify.Proof(entries=told.entries)
    if broken:
        proof.note("exported log", broken.says)
    elif campaign and (campaign.key != told.campaign or not _stands_in(campaign, told)):
        proof.note("log", f"its entry {told.entries} is not the one that was exported: the log was written anew")
    report = _report(Campaign(code=told.code, title="its exported log"), proof)
    return report | {"checked": {"entries": told.entries}}


def _stands_in(campaign: Campaign, told: exported.Exported) -> bool:
    return not told.entries or campaign.log.filter(sequence=told.entries, digest=told.head).exists()
