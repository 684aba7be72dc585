"""Files that have just come: what each is, and which placement each is for. Decides nothing that is in doubt."""

import hashlib
import logging
import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.core.files import File

from layouts.formats.models import Placement
from layouts.formats.queries import ordered, words
from layouts.imaging.decoding.files import FileFacts, check_layout
from layouts.imaging.errors import Refused
from layouts.imaging.inspecting.window import same_shape
from layouts.imaging.match import NONE, SURE, NamedFile, Wanted, match_layouts
from layouts.imaging.words import shape
from layouts.pictures.arrived import on_disk
from portal.files.names import clean_name
from portal.files.sending import on_disk as stored_on_disk
from portal.models import Campaign, StoredFile
from portal.people.languages import name_of
from portal.site.sentences import joined

log = logging.getLogger("brieflock.layouts")

NO_ALPHA = (
    "This file has no transparency: it would cover the picture. Export the layout without its background, "
    "as PNG, TIFF, WebP, PDF or PSD with a transparent ground."
)
NOT_LOOKED_AT = (
    "Something about this file stopped the portal from looking into it. Export it again, as PNG; if that is refused "
    "too, tell whoever keeps the portal."
)
# A surround makes a canvas squarer than its window; an edge of it is seldom wider than half the window's shorter side.
WIDEST_SURROUND = 0.5
SAME_SHAPE = 0.01


@dataclass
class Arrived:
    """A file on its way in. One of: `facts` is None (it cannot be read), `refused`, placed, or asked about."""

    file: "File[Any]"
    name: str
    facts: FileFacts | None = None
    refused: bool = False
    says: str = ""
    placement: Placement | None = None
    candidates: list[str] = field(default_factory=list)


def check(file: "File[Any]") -> Arrived:
    """Tell from its bytes whether a file can be a layout."""
    one = Arrived(file, clean_name(file.name or ""))
    try:
        with on_disk(file) as path:
            one.facts = check_layout(path)
    except Refused as reason:
        one.says = reason.sentence
        return one
    except Exception:
        # A fault of ours, which must not cost the other files of the batch their way in.
        log.exception("a file could not be looked at: %s", sha256_of(file))
        one.says = NOT_LOOKED_AT
        return one
    if not one.facts.has_alpha:
        one.refused, one.says = True, NO_ALPHA
    return one


def meant_for(one: Arrived, to: Placement) -> None:
    """Place a file that was sent for one placement, unless it cannot be of its shape."""
    if one.facts is None or one.refused:
        return
    one.says = wrong_shape(one.facts.width, one.facts.height, to)
    one.refused = bool(one.says)
    one.placement = None if one.refused else to


def wrong_shape(width: int, height: int, to: Placement) -> str:
    """Why a canvas of this size cannot hold the placement's window, with both measures; empty where it can."""
    found, wanted = width / height, to.format.aspect
    squarer = with_surround(wanted)
    low, high = sorted((wanted, squarer))
    if low * (1 - SAME_SHAPE) <= found <= high * (1 + SAME_SHAPE):
        return ""
    return (
        f"This file is {width} × {height} px, which is {shape(found)}; {to.format} is {to.format.size}, which is "
        f"{shape(wanted)}. Export the artboard of {words(to)} and send that."
    )


def with_surround(aspect: float) -> float:
    """The aspect of a window of `aspect` inside the widest surround."""
    short, long = min(1.0, aspect), max(1.0, aspect)
    if aspect < 1:
        short, long = aspect, 1.0
    margin = WIDEST_SURROUND * short
    squared = (long + 2 * margin) / (short + 2 * margin)
    return squared if aspect >= 1 else 1 / squared


def refusal_of_stored(file: StoredFile, to: Placement) -> str:
    """Why a file that is kept cannot be this placement's layout; empty where it can."""
    try:
        with stored_on_disk(file.path) as path:
            facts = check_layout(path)
    except (Refused, FileNotFoundError):
        return "This file can no longer be read from the store. Send it again."
    return wrong_shape(facts.width, facts.height, to) if facts.has_alpha else NO_ALPHA


def sha256_of(file: "File[Any]") -> str:
    """The digest of a file that is not kept, for the log; the upload has computed it on the way."""
    known = getattr(file, "sha256", "")
    if known:
        return str(known)
    file.seek(0)
    return hashlib.file_digest(file, "sha256").hexdigest()


def find_places(campaign: Campaign, arrived: Sequence[Arrived]) -> None:
    """Match files to wanted placements by name and shape: sure ones are placed, the others asked about or refused."""
    rows = {row.key: row for row in ordered(campaign)}
    # A file's name often begins with the campaign's: its words say nothing of the shot.
    common = set(_words(f"{campaign.title} {campaign.client} {campaign.code}"))
    wanted = [_wanted(row, common) for row in rows.values()]
    open_ones = [one for one in arrived if one.facts and not one.refused]
    for one, match in zip(open_ones, match_layouts([_named(one) for one in open_ones], wanted), strict=True):
        if match.sure == SURE:
            one.placement = rows[str(match.placement)]
            continue
        one.says, one.candidates = match.why, [str(key) for key in match.candidates]
        one.refused = match.sure == NONE
        _by_name_alone(one, wanted, rows)
    _ask_rivals(open_ones)


def _by_name_alone(one: Arrived, wanted: Sequence[Wanted], rows: dict[str, Placement]) -> None:
    """Where the name says one placement and the shape another: place it if that can be a surround, else refuse it.

    A surround changes the canvas's shape, so that a match by shape must fail; the worker then finds the window and
    judges its shape. What is in doubt for another reason stays so.
    """
    assert one.facts is not None  # noqa: S101  for the type checker: only such files come here
    match = match_layouts([NamedFile(one.name, 0, 0)], wanted)[0]
    if match.sure != SURE:
        return
    to = rows[str(match.placement)]
    if same_shape(one.facts.aspect, to.format.aspect):
        return  # the shape is right: two files of this batch are for one placement, or the name says too much
    one.says = wrong_shape(one.facts.width, one.facts.height, to)
    one.refused = bool(one.says)
    if not one.refused:
        one.placement, one.candidates = to, []


def _ask_rivals(arrived: Sequence[Arrived]) -> None:
    """Ask about all files of a batch that would go to one placement: which counts is not ours to say."""
    claims: dict[str, list[Arrived]] = {}
    for one in arrived:
        if one.placement is not None:
            claims.setdefault(one.placement.key, []).append(one)
        elif len(one.candidates) == 1 and not one.refused:
            claims.setdefault(one.candidates[0], []).append(one)
    for key, rivals in claims.items():
        placed = [one for one in rivals if one.placement is not None]
        if len(rivals) < 2 or not placed:
            continue
        names = joined([one.name for one in rivals])
        to = placed[0].placement
        assert to is not None  # noqa: S101  for the type checker
        for one in placed:
            one.placement, one.candidates = None, [key]
            one.says = f"{names} are both for {words(to)}. Which one counts?"


def _named(one: Arrived) -> NamedFile:
    assert one.facts is not None  # noqa: S101  for the type checker
    return NamedFile(one.name, one.facts.width, one.facts.height)


def _words(text: str) -> list[str]:
    return re.findall(r"\w+", text.lower())


def _wanted(row: Placement, common: Collection[str]) -> Wanted:
    """A placement as the matching takes it; `common` words are left out of the shot's title."""
    format = row.format
    called = name_of(row.language)
    return Wanted(
        id=row.key,
        shot_number=row.shot.number,
        shot_title=" ".join(word for word in _words(row.shot.title) if word not in common),
        format_name=format.name,
        aspect=format.aspect,
        format_aliases=tuple(format.aliases),
        mm=(format.width_mm, format.height_mm) if format.width_mm and format.height_mm else None,
        px=(format.width_px, format.height_px),
        language=row.language,
        language_names=(called, called.partition(",")[0]),
    )
