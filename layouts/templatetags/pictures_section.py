"""Words for the brief's section "pictures", from its data alone."""

from collections.abc import Mapping, Sequence
from typing import Any

from django import template
from django.utils.safestring import SafeString

from portal.people.languages import name_of
from portal.site.sentences import count, sentence
from portal.templatetags.ui import measure

register = template.Library()
CROP_COLUMNS = ("Placement", ("Left", "num"), ("Right", "num"), ("Top", "num"), ("Bottom", "num"))


@register.filter
def across(zone: Sequence[float]) -> SafeString:
    """From where to where a zone reaches from the left, in per cent."""
    return measure(f"{100 * zone[0]:.1f} to {100 * zone[2]:.1f}", "%")


@register.filter
def down(zone: Sequence[float]) -> SafeString:
    """The same from the top."""
    return measure(f"{100 * zone[1]:.1f} to {100 * zone[3]:.1f}", "%")


@register.simple_tag
def framing(data: Mapping[str, Any]) -> str:
    """How the placements are framed: those that follow the hero zone, and those that someone has set."""
    by_hand = sum(crop["set"] for crop in data["crops"])
    follow = len(data["crops"]) - by_hand
    says = []
    if follow:
        verb = "is" if follow == 1 else "are"
        says.append(f"{count(follow, 'placement')} {verb} the largest crop of the format's shape, round the hero zone")
    if by_hand:
        says.append(f"{count(by_hand, 'placement')} {'has' if by_hand == 1 else 'have'} a crop set by hand")
    return " ".join(sentence(one) for one in says)


@register.simple_tag
def crops_by_hand(data: Mapping[str, Any]) -> list[tuple[Any, ...]]:
    """The crops that someone has set, as rows for `data_table`, in per cent of the mockup."""
    numbers = {mockup["id"]: mockup["number"] for mockup in data["mockups"]}
    return [
        (
            f"Shot {numbers[crop['shot']]}, {crop['format']}, {name_of(crop['language'])}",
            *(measure(100 * crop["crop"][edge], "%", 1) for edge in (0, 2, 1, 3)),
        )
        for crop in data["crops"]
        if crop["set"]
    ]


@register.simple_tag
def crop_columns() -> tuple[Any, ...]:
    """The heads of that table."""
    return CROP_COLUMNS
