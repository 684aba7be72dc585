"""Prove a campaign whole: `manage.py verify_campaign OAT-27 [--json]`."""

import json
import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from portal.brief.models import Campaign
from portal.sealing import verify
from portal.site.sentences import count, sentence


class Command(BaseCommand):
    help = (
        "Prove a campaign whole: the chain of its log, the digests of its versions and sign-offs, and the bytes of "
        "every file that they name. Exit status 0: it is whole; 1: something differs, the first break named; "
        "2: there is no such campaign."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("code", help="the campaign's code, such as OAT-27")
        parser.add_argument("--json", action="store_true", help="print one JSON object and nothing else")

    def handle(self, *args: Any, **options: Any) -> None:
        campaign = Campaign.objects.filter(code=options["code"]).first()
        if campaign is None:
            self.stderr.write(f"There is no campaign with the code {options['code']}.")
            sys.exit(2)
        proof = verify.prove(campaign)
        report = _report(campaign, proof)
        self.stdout.write(json.dumps(report, ensure_ascii=False) if options["json"] else _words(campaign, proof))
        sys.exit(1 if proof.breaks else 0)


def _report(campaign: Campaign, proof: verify.Proof) -> dict[str, Any]:
    breaks = [{"where": where, "says": says} for where, says in proof.breaks]
    return {
        "campaign": campaign.code,
        "whole": not breaks,
        "checked": {
            "entries": proof.entries,
            "versions": proof.versions,
            "sign_offs": proof.sign_offs,
            "files": proof.files,
            "bytes": proof.bytes,
        },
        "first_break": breaks[0] if breaks else None,
        "breaks": breaks,
    }


def _words(campaign: Campaign, proof: verify.Proof) -> str:
    checked = ", ".join(
        [
            count(proof.entries, "entry of the log", "entries of the log"),
            count(proof.versions, "version"),
            count(proof.sign_offs, "sign-off"),
            count(proof.files, "file") + (f" of {proof.bytes} bytes" if proof.files else ""),
        ]
    )
    lines = [f"{campaign.code}, {campaign.title}", f"Checked: {checked}."]
    if not proof.breaks:
        return "\n".join([*lines, "It is whole."])
    where, says = proof.breaks[0]
    lines.append(f"It is not whole. First break, {where}: {sentence(says)}")
    lines += [f"Also {where}: {sentence(says)}" for where, says in proof.breaks[1:]]
    return "\n".join(lines)
