"""The section "camera": what each shot is taken with, and from where."""

from collections.abc import Iterator
from typing import Any

from django.urls import reverse

from portal import access
from portal.access import May
from portal.brief import fields, sections
from portal.brief.fields import Parent, Thing, Words
from portal.brief.finding import Finding
from portal.brief.sections import Section
from portal.models import Campaign
from shots.camera.actions import FIELDS
from shots.camera.models import Camera
from shots.rows import plainly
from shots.shot.models import Shot
from shots.shot.queries import read

# Words for findings of a kind, as in Section.kinds.
KINDS = {"no-pixels": ("shot", "has a camera of unknown pixels", "have a camera of unknown pixels")}

TELLS = Words(
    {
        "": Thing(
            "",  # a shot's camera comes and goes with it, and is not counted
            lambda row, whole: f"{whole.shot(row['id'])}, camera",
            {
                "camera": fields.text("camera"),
                "width_px": fields.number("width of a capture", "px"),
                "height_px": fields.number("height of a capture", "px"),
                "lens": fields.text("lens"),
                "height": fields.text("height"),
                "angle": fields.text("angle"),
                "distance": fields.text("distance"),
                "focus": fields.text("focus and depth"),
                "tethering": fields.text("tethering"),
                "notes": fields.text("notes"),
            },
            parents=lambda row: [Parent("shots", "", row["id"])],
        )
    }
)


def assemble(campaign: Campaign) -> list[dict[str, Any]]:
    """The camera of each shot, in order; a shot without words about it has them empty."""
    return [{"id": shot.key, **plainly(_of(shot), FIELDS)} for shot in read(campaign)]


def _of(shot: Shot) -> Camera:
    return getattr(shot, "camera", None) or Camera(shot=shot)


def by_shot(campaign: Campaign) -> Iterator[tuple[str, Finding]]:
    """Findings, each with its shot's key: without a capture's pixels nobody knows what the crops keep."""
    roles = tuple(access.roles_that_may(May.EDIT_CAMERA))
    for shot in read(campaign):
        camera = _of(shot)
        if not (camera.width_px and camera.height_px):
            says = f"The camera of shot {shot.number} does not say how many pixels a capture has."
            url = reverse("shots:camera", args=[campaign.key, shot.key])
            what = f"Camera, shot {shot.number}"
            seen = reverse("shots:shot", args=[campaign.key, shot.key]) + "#camera"
            yield shot.key, Finding("worth-a-look", says, what, "pixels unknown", roles, url, "no-pixels", seen=seen)


def ready(campaign: Campaign) -> list[Finding]:
    """All that is to be said of the campaign's cameras."""
    return [finding for _, finding in by_shot(campaign)]


def register() -> None:
    template = "shots/sections/camera.html"
    sections.register(Section("camera", "Camera", 70, assemble, template, ready, kinds=KINDS, words=TELLS))
