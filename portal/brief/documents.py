"""The document that pages, lists and files are drawn from: the version that holds, or the draft."""

import json
from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from portal.brief import sections
from portal.brief.draft import held
from portal.brief.models import Campaign, Version
from portal.record.canonical import section_digests, version_digest


@dataclass(frozen=True)
class Brief:
    """A document with its stamp. `number` is None for the draft, which every sheet then says."""

    document: dict[str, Any]
    digests: dict[str, str]
    digest: str
    number: int | None
    state: str  # "draft", "put forward", "locked", "superseded", "declined", "withdrawn"

    @property
    def is_draft(self) -> bool:
        return self.state == "draft"

    @property
    def stamp(self) -> str:
        """What is printed on all that leaves: "version 2, locked, 9c41 e07b" or "DRAFT, 9c41 e07b"."""
        short = f"{self.digest[:4]} {self.digest[4:8]}"
        return f"DRAFT, {short}" if self.number is None else f"version {self.number}, {self.state}, {short}"


def of_version(version: Version, campaign: Campaign, *, state: str = "") -> Brief:
    """The brief as put forward in `version`; `state`, where the caller knows it better than the campaign's row says."""
    if state:
        pass
    elif version.pk == campaign.locked_version_id:
        state = "locked"
    else:
        state = "put forward" if version.pk == campaign.open_version_id else "superseded"
    return Brief(json.loads(version.document), version.sections, version.digest, version.number, state)


def draft_of(campaign: Campaign) -> Brief:
    """The brief as its rows now stand."""
    document = sections.assemble(campaign)
    digests = section_digests(document)
    return Brief(document, digests, version_digest(digests), None, "draft")


def as_rows_stand(campaign: Campaign, names: Collection[str]) -> Brief:
    """The brief whose sections of these names are the rows themselves, for what is drawn from rows.

    The version that is out; the locked one while nothing that a change has opened makes these sections differ from it;
    else the draft.
    """
    if campaign.open_version:
        return of_version(campaign.open_version, campaign)
    draft = draft_of(campaign) if held(campaign).places or not campaign.locked_version else None
    locked = campaign.locked_version
    if locked and (draft is None or all(draft.digests.get(name) == locked.sections.get(name) for name in names)):
        return of_version(locked, campaign)
    return draft or draft_of(campaign)


def current(campaign: Campaign) -> Brief:
    """What holds now: the locked version, else the one put forward, else the draft."""
    version = campaign.locked_version or campaign.open_version
    return of_version(version, campaign) if version else draft_of(campaign)
