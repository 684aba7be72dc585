"""What pages say of mockups, in sentences and captions."""

from typing import Any

from django.utils.html import format_html

from layouts.pictures.models import Mockup
from portal.models import Work
from portal.templatetags.ui import measure


def stands(mockup: Mockup | None) -> str:
    """Where a shot's mockup stands, and what is wanted next."""
    if mockup is None:
        return "No mockup yet. The agency or the photographer brings it."
    if mockup.work.open:
        return f"Revision {mockup.revision} has come and is being read."
    if mockup.work.state == Work.State.FAILED:
        return f"Revision {mockup.revision} could not be read."
    if mockup.hero is None:
        return f"Revision {mockup.revision} of the mockup stands. What is missing is its hero zone."
    return f"Revision {mockup.revision} of the mockup stands, and its hero zone is marked."


def hero_stands(mockup: Mockup) -> str:
    """What the page of the hero zone is for."""
    if mockup.hero is None:
        return "Mark where the hero food must sit. Every crop is framed round it, and type keeps off it."
    return "The hero zone is where the hero food must sit. Every crop is framed round it, and type keeps off it."


def about(mockup: Mockup) -> list[list[tuple[Any, ...]]]:
    """The captions under a mockup, in columns."""
    return [
        [
            ("Mockup", f"Revision {mockup.revision}"),
            ("Sent by", f"{mockup.sent_by.user}, {mockup.sent_by.get_role_display().lower()}"),
            ("File", format_html("{}, {}", mockup.name, measure((mockup.file.width, mockup.file.height), "px"))),
            ("Hero zone", *_hero(mockup)),
        ]
    ]


def _hero(mockup: Mockup) -> tuple[Any, str]:
    if mockup.hero is None:
        return "Not marked yet", "wrong"
    x0, y0, x1, y1 = (100 * edge for edge in mockup.hero)
    across, down = measure(f"{x0:.1f} to {x1:.1f}", "%"), measure(f"{y0:.1f} to {y1:.1f}", "%")
    return format_html("{} across, {} down", across, down), ""
