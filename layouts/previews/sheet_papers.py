"""The contact sheet as a paper for the wall: names, sizes and stamp from the brief's document, pictures as previews."""

import re
from typing import Any

from layouts.imaging.measures import sight
from layouts.previews import sheets, words
from layouts.previews.queries import Seen, seen
from portal.brief.documents import Brief
from portal.models import Campaign
from portal.papers.sheet import Sheet
from portal.papers.stamping import stamp
from portal.papers.wall import ROOM, Picture, Row, Section, wall
from portal.people.languages import name_of
from portal.site import drawing

PAPERS = {"a3": "A3", "a4": "A4"}
# The largest picture's share of the paper's width and height, so that a shot's placements stand beside each other.
_SHARE = (0.42, 0.9)
_SHARE_SCREEN = (0.12, 0.36)
# From this width on, in mm, a small picture (640 px) has fewer than 200 pixels an inch, and the large one is taken.
_SMALL_MM = 81
_ROWS = (("Posters", "poster"), ("Screens", "screen"))

Data = dict[str, Any]


def pdf(campaign: Campaign, brief: Brief, language: str, paper: str, shot: str | None = None) -> bytes:
    """The sheet of the campaign or of one shot (by its id), in one language. Raises KeyError for what there is not."""
    room = ROOM[paper]
    shots = brief.document["shots"]
    if shot is not None:
        shots = [{one["id"]: one for one in shots}[shot]]
    formats = brief.document["formats"]
    of = {one["id"]: one for one in formats["formats"]}
    wanted = [one for one in formats["placements"] if one["language"] == language]
    rows = {row.placement.key: row for row in seen(campaign, language=language)}
    said = None if brief.is_draft else _said(brief)
    faulty = sheets.must_fix(list(rows.values()))
    scale = {kind: _scale(of.values(), kind, room) for _, kind in _ROWS}
    sections = []
    for one in shots:
        mine = [placed for placed in wanted if placed["shot"] == one["id"]]
        groups = []
        for title, kind in _ROWS:
            placed = [entry for entry in mine if of[entry["format"]]["kind"] == kind]
            if placed:
                pictures = [
                    _picture(entry, of[entry["format"]], rows.get(entry["id"]), scale[kind], faulty, said)
                    for entry in placed
                ]
                groups.append(Row(f"{title} at 1 : {scale[kind]:g}", tuple(pictures)))
        sections.append(Section(f"{one['number']}  {one['title']}", tuple(groups)))
    return wall(_head(campaign, brief, language, shots[0] if shot else None), sections, paper)


def _head(campaign: Campaign, brief: Brief, language: str, shot: Data | None) -> Sheet:
    told = brief.document["campaign"]
    of = f"Shot {shot['number']}, {shot['title']}" if shot else "All shots"
    return Sheet(
        campaign=told["title"],
        code=told["code"],
        title="Contact sheet",
        subtitle=f"{of}, {name_of(language)}" if language else of,
        parts=(),
        stamp=stamp(campaign, brief),
        notice="Everything in this campaign is invented." if told["invented"] else "",
    )


def file_name(brief: Brief, language: str, paper: str, shot: str | None = None) -> str:
    """A plain name: "OAT-27 contact sheet shot 1 en-GB A3 draft.pdf"."""
    number = next((one["number"] for one in brief.document["shots"] if one["id"] == shot), None)
    parts = [
        brief.document["campaign"]["code"],
        "contact sheet",
        f"shot {number}" if number else "",
        language,
        PAPERS[paper],
        f"v{brief.number}" if brief.number else "draft",
    ]
    return re.sub(r"[^A-Za-z0-9 -]+", "-", " ".join(part for part in parts if part)).strip(" -") + ".pdf"


def _scale(formats: Any, kind: str, room: tuple[float, float]) -> float:
    across, down = _SHARE if kind == "poster" else _SHARE_SCREEN
    sizes = [drawing.size_mm(one)[:2] for one in formats if one["kind"] == kind]
    return sight.round_scale(sizes, (across * room[0], down * room[1]))


def _picture(
    entry: Data, format: Data, row: Seen | None, scale: float, faulty: dict[int, int], said: Data | None
) -> Picture:
    wide, high, known = drawing.size_mm(format)
    size = f"{wide:g} × {high:g} mm" if known else f"{format['width_px']} × {format['height_px']} px, size not known"
    notes, wrong = [size], ""
    if row is not None:
        state, is_wrong = sheets.state(row, faulty)
        verdict, reads_badly = sheets.verdict(row)
        bad = [text for text, is_bad in ((state, is_wrong), (verdict, reads_badly)) if is_bad]
        notes += [text for text in (state, verdict) if text and text not in bad]
        wrong = ", ".join(bad)
    return Picture(
        name=format["name"],
        width=wide / scale,
        height=high / scale,
        path=_path(entry, row, wide / scale, said),
        alt=words.alt(row) if row else format["name"],
        notes=tuple(notes),
        wrong=wrong,
    )


def _path(entry: Data, row: Seen | None, width: float, said: Data | None) -> str:
    """The stored picture that shows what the document says; "" where what is there shows something else by now."""
    if row is None or row.visible is None or not row.files:
        return ""
    made = row.visible.inputs
    if said is not None and (made["mockup"], made["crop"], made["layout"]) != said.get(entry["id"]):
        return ""
    return str(row.files["small" if width < _SMALL_MM else "composed"]["path"])


def _said(brief: Brief) -> Data:
    """What a version's document says that each placement's picture is made of: mockup, crop, layout."""
    pictures = brief.document["pictures"]
    mockups = {one["id"]: one["sha256"] for one in pictures["mockups"]}
    layouts = {one["id"]: one["sha256"] for one in brief.document["layouts"]}
    return {one["id"]: (mockups.get(one["shot"]), one["crop"], layouts.get(one["id"])) for one in pictures["crops"]}
