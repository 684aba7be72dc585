"""What the pages of pictures show: addresses, captions and streets, as plain data for their templates."""

import hashlib
from collections.abc import Iterable, Sequence
from typing import Any

from django.urls import reverse

from layouts.formats.models import Placement
from layouts.pictures.models import Mockup
from layouts.previews import actions, recipe, verdict_words, verdicts, words
from layouts.previews.queries import Seen, seen, tag_of
from portal.brief.draft import closed_because
from portal.models import Campaign, Member, Work
from portal.people.languages import name_of
from portal.talk.queries import pins
from shots.models import Shot


def address(campaign: Campaign, row: Seen, which: str) -> str:
    """The address of one of a placement's rendered pictures; empty where there is none."""
    if which not in row.files:
        return ""
    return reverse("layouts:image", args=[campaign.key, row.placement.key, which, row.tag])


def street_items(campaign: Campaign, rows: Iterable[Seen]) -> list[dict[str, Any]]:
    """Placements as the street shows them; each leads to its stage."""
    return [
        {
            "width_mm": row.placement.format.width_mm,
            "height_mm": row.placement.format.height_mm,
            "width_px": row.placement.format.width_px,
            "height_px": row.placement.format.height_px,
            "label": str(row.placement.format),
            "url": reverse("layouts:stage", args=[campaign.key, row.placement.key]),
            "image_url": address(campaign, row, "small") or None,
            "alt": "",  # the words beside it say what it is
            "note": words.street_note(row),
        }
        for row in rows
    ]


def signature(rows: Iterable[Seen], mockups: Iterable[Mockup | None] = ()) -> str:
    """A short name of what is seen now: a page that waits asks again and changes only when this does."""
    parts = [f"{row.placement.key}{row.state}{row.layout_state}{row.tag}" for row in rows]
    parts += [f"{mockup.key}{mockup.work.state}" for mockup in mockups if mockup]
    return hashlib.sha256("".join(parts).encode()).hexdigest()[:12]


def pick_language(campaign: Campaign, wanted: str) -> str:
    """The language asked for if it is ordered, else the campaign's first."""
    return wanted if wanted in campaign.languages else next(iter(campaign.languages), "")


def languages(campaign: Campaign, current: str, here: str) -> list[dict[str, Any]]:
    """The campaign's languages as links between streets, at the address `here`; none where there is but one."""
    if len(campaign.languages) < 2:
        return []
    return [
        {"name": name_of(tag), "current": tag == current, "url": f"{here}?language={tag}"} for tag in campaign.languages
    ]


def shot_street(member: Member, shot: Shot, mockup: Mockup | None, language: str = "") -> dict[str, Any]:
    """A shot's placements: in one language on the street, in all of them in the captions."""
    campaign = member.campaign
    rows = seen(campaign, shots=[shot.pk])
    chosen = pick_language(campaign, language)
    return {
        "street": street_items(campaign, [row for row in rows if row.placement.language == chosen]),
        "languages": languages(campaign, chosen, reverse("layouts:shot-pictures", args=[campaign.key, shot.key])),
        "captions": words.captions(rows, campaign.languages),
        "rows": rows,
        "progress": words.progress(rows, [mockup] if mockup and mockup.work.open else []),
        "signature": signature(rows, [mockup]),
    }


def stage(member: Member, row: Seen) -> dict[str, Any]:
    """All that the page of one placement shows."""
    campaign, placement = member.campaign, row.placement
    family = seen(campaign, shots=[placement.shot_id])
    same_language = [one for one in family if one.placement.language == placement.language]
    full, printed = detail(campaign, row), proof(campaign, row)
    waits = [one["state"] == "open" for one in (full, printed)]
    stands = words.stands(row)
    found = verdicts.of(row)
    return {
        "row": row,
        "shot": placement.shot,
        "name": words.name(row),
        "stands": stands,
        "hero_words": words.hero(row),
        "cut": words.cut(row),
        "figures": words.figures(row),
        "street": street_items(campaign, same_language),
        "here": reverse("layouts:stage", args=[campaign.key, placement.key]),
        "others": _other_languages(campaign, row, family),
        "neighbours": _neighbours(campaign, placement),
        "progress": {
            "open": row.open or any(waits),
            "sentence": stands if row.open else (words.DETAIL_OPEN if waits[0] else words.PROOF_OPEN),
            "done": None,
            "total": None,
        },
        "signature": signature([row]) + full["state"] + printed["state"],
        "may_try_again": actions.may_try_again(member),
        "closed": closed_because(campaign, "pictures", placement.shot.key),
        "detail": full,
        "proof": printed,
        "pictures": pictures(campaign, row, found),
        "verdict": verdict_words.says(found),
        "legibility": legibility(found),
        "pins": pins(member, "placement", placement.key),
    }


def legibility(found: verdicts.Verdict | None) -> dict[str, Any] | None:
    """The table of type zones: `columns`, `rows`, `notes`; None where there is none to show."""
    if found is None or not found.zones:
        return None
    columns = verdict_words.COLUMNS
    return {"columns": columns, "rows": verdict_words.table(found), "notes": verdict_words.notes(found)}


def pictures(campaign: Campaign, row: Seen, found: verdicts.Verdict | None = None) -> dict[str, Any]:
    """The addresses and sizes of one placement's pictures; `preview` is empty before the first."""
    composed = row.files.get("composed", {})
    laid = "layer" in row.files
    return {
        "preview": address(campaign, row, "composed"),
        "bare": address(campaign, row, "bare") if laid else "",
        "layer": address(campaign, row, "layer"),
        "width": composed.get("width", 0),
        "height": composed.get("height", 0),
        "alt": words.alt(row),
        "hero": clipped(row.hero[0]) if row.framed_now and row.hero and row.hero[1] > 0 else None,
        "hero_words": words.hero_mark(row, found),
        "zones": verdict_words.zone_marks(found),
        "faults": verdict_words.faults(found),
    }


def detail(campaign: Campaign, row: Seen) -> dict[str, Any]:
    """The full pixels: `state` none (there are no more than the preview has), offered, open, failed or there."""
    visible, work = row.visible, row.preview.detail if row.preview else None
    if visible is None or row.mockup is None:
        return {"state": "none"}
    crop = recipe.in_pixels(visible.inputs["crop"], row.mockup.file.width, row.mockup.file.height)
    width, height = recipe.detail_size(visible.inputs, crop)
    facts = {"width": width, "height": height, "url": "", "says": work.says if work else ""}
    facts["offer"] = words.offer((visible.inputs["width"], visible.inputs["height"]), (width, height))
    if width <= visible.inputs["width"]:
        return facts | {"state": "none"}
    if work is None:
        return facts | {"state": "offered"}
    if work.state == Work.State.DONE:
        url = reverse("layouts:image", args=[campaign.key, row.placement.key, "composed-detail", tag_of(work)])
        return facts | {"state": "there", "url": url}
    return facts | {"state": "open" if work.open else "failed"}


def proof(campaign: Campaign, row: Seen) -> dict[str, Any]:
    """How it will print: `state` none (a screen, or no picture yet), offered, open, failed or there."""
    work = row.preview.proof if row.preview else None
    if row.visible is None or row.placement.format.kind == "screen":
        return {"state": "none"}
    if work is None:
        return {"state": "offered"}
    if work.state != Work.State.DONE:
        return {"state": "open" if work.open else "failed", "says": work.says}
    args = [campaign.key, row.placement.key]
    urls = {which: reverse("layouts:image", args=[*args, which, tag_of(work)]) for which in ("proof", "beyond")}
    return {"state": "there", **urls, "says": words.proof(work.result["share"], work.result["condition"])}


def clipped(zone: Sequence[float]) -> list[float]:
    """A zone cut to the picture that it is drawn on."""
    return [min(1.0, max(0.0, edge)) for edge in zone]


def _other_languages(campaign: Campaign, row: Seen, family: Iterable[Seen]) -> list[dict[str, str]]:
    placement = row.placement
    return [
        {
            "name": name_of(one.placement.language),
            "url": reverse("layouts:stage", args=[campaign.key, one.placement.key]),
        }
        for one in family
        if one.placement.format_id == placement.format_id and one.placement.pk != placement.pk
    ]


def _neighbours(campaign: Campaign, placement: Placement) -> dict[str, dict[str, str]]:
    """The shots before and after this one, in the same format and language."""
    same = Placement.objects.filter(
        shot__campaign=campaign, format=placement.format_id, language=placement.language, wanted=True
    ).select_related("shot")
    before = same.filter(shot__number__lt=placement.shot.number).order_by("-shot__number").first()
    after = same.filter(shot__number__gt=placement.shot.number).order_by("shot__number").first()
    return {
        side: {"title": str(one.shot), "url": reverse("layouts:stage", args=[campaign.key, one.key])}
        for side, one in (("before", before), ("after", after))
        if one
    }
