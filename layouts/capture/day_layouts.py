"""A layout that is dropped on the day: inspected by the worker for a format that was not ordered, and kept in no brief.

What the page passes along is signed: the work's key and the file's name, for this shot and nobody else's.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import Any

from django.core import signing
from django.core.exceptions import ValidationError
from django.db import transaction
from PIL import Image

from layouts.formats.models import Format, Placement
from layouts.overlays import arriving, preparing
from portal import access
from portal.access import May
from portal.files.actions import keep
from portal.files.sending import on_disk
from portal.models import Member, Work
from portal.work import actions as work
from shots.models import Shot

_SALT = "layouts.on-the-day"
# Mid grey behind what is clear, as pages show layouts.
_GROUND = (128, 128, 128)


@dataclass(frozen=True)
class Dropped:
    """A layout as it stands: its work, and the name of its file. `fits`: it was inspected for the format asked."""

    work: Work
    name: str
    token: str
    fits: bool

    @property
    def done(self) -> bool:
        return self.work.state == Work.State.DONE

    @property
    def window(self) -> dict[str, Any] | None:
        """Where the poster's own area was found, px of the file, with `kind` and `sure`; None before."""
        found: dict[str, Any] | None = self.work.result.get("window") if self.done else None
        return found


@transaction.atomic
def drop(by: Member, shot: Shot, file: Any, format: Format) -> str:
    """Take in a file for a format that was not ordered; what names it on the page. It changes nothing of the brief.

    Raises PermissionDenied; ValidationError where the file is no layout, or cannot be of the format's shape.
    """
    access.need(by, May.READ_DRAFT)
    came = arriving.check(file)
    arriving.meant_for(came, Placement(shot=shot, format=format, language=_language(by)))
    if came.facts is None or came.refused:
        raise ValidationError(f"{came.name} was not taken. {came.says}")
    facts = came.facts
    stored = keep(file, type=facts.type, width=facts.width, height=facts.height)
    owed = preparing.owe(stored, came.name, format)
    if owed.state == Work.State.FAILED:
        work.retry(owed)
    return signing.dumps([shot.key, owed.key, came.name], salt=_SALT, compress=True)


def dropped(shot: Shot, token: str, format: Format | None) -> Dropped | None:
    """What this token names; None for another shot's, or one that is not ours."""
    try:
        of, key, name = signing.loads(token, salt=_SALT)
    except (signing.BadSignature, ValueError):
        return None
    found = Work.objects.filter(key=key, kind=preparing.KIND).first() if of == shot.key else None
    return Dropped(found, name, token, format is not None and _asked_so(found, format)) if found else None


def picture(found: Dropped) -> bytes:
    """The layout's window on grey, as WebP: what the zone is drawn on. Raises KeyError before it was inspected."""
    seen, window, file = found.work.result["seen"], found.work.result["window"], found.work.result["file"]
    with on_disk(seen["path"]) as path, Image.open(path) as image:
        across, down = image.width / file["width"], image.height / file["height"]
        box = (
            round(window["x"] * across),
            round(window["y"] * down),
            max(round(window["x"] * across) + 1, round((window["x"] + window["width"]) * across)),
            max(round(window["y"] * down) + 1, round((window["y"] + window["height"]) * down)),
        )
        cut = image.convert("RGBA").crop(box)
    ground = Image.new("RGB", cut.size, _GROUND)
    ground.paste(cut, (0, 0), cut)
    out = io.BytesIO()
    ground.save(out, format="WEBP", quality=85, method=2)
    return out.getvalue()


def covered(found: Dropped, zone: tuple[float, float, float, float]) -> float:
    """The share of a zone (in fractions of the window) that blocks of type take, 0 to 1; overlaps count twice."""
    window = found.window
    if not window:
        return 0.0
    x0, y0, x1, y1 = zone
    area = (x1 - x0) * (y1 - y0)
    taken = 0.0
    for block in found.work.result["type_zones"]:
        left, right = ((block["x"] + add - window["x"]) / window["width"] for add in (0, block["width"]))
        top, bottom = ((block["y"] + add - window["y"]) / window["height"] for add in (0, block["height"]))
        taken += max(0.0, min(x1, right) - max(x0, left)) * max(0.0, min(y1, bottom) - max(y0, top))
    return min(1.0, taken / area) if area > 0 else 0.0


def _asked_so(found: Work, format: Format) -> bool:
    """Whether it was inspected for a format of these measures."""
    asked = preparing.inputs(_Nothing(), "", format, None)  # type: ignore[arg-type]
    return all(found.inputs[name] == asked[name] for name in ("aspect", "mm", "px"))


class _Nothing:
    """Stands for a file where only the format's part of the inputs is wanted."""

    sha256 = path = ""


def _language(by: Member) -> str:
    return next(iter(by.campaign.languages), "")
