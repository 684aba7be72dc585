"""Components of pictures: spread, plate, street elevation, picture stage, editor of the hero zone."""

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms, template
from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe

from portal.site import drawing

register = template.Library()
HERE = "portal/components/"


@register.simple_block_tag
def spread(
    content: str,
    picture: str,
    alt: str,
    width: int | None = None,
    height: int | None = None,
    href: str = "",
    flip: bool = False,
) -> SafeString:
    """A picture and, beside it, what is said of it (the content). `flip`: the picture on the other side."""
    context = locals()
    return mark_safe(render_to_string(HERE + "spread.html", context))


@register.simple_block_tag
def plate(
    content: str, picture: str, alt: str, width: int | None = None, height: int | None = None, href: str = ""
) -> SafeString:
    """A picture with its caption (the content) under it; several stand in `<div class="plates">`."""
    context = locals()
    return mark_safe(render_to_string(HERE + "plate.html", context))


@register.inclusion_tag(HERE + "street.html")
def street(
    items: Sequence[Mapping[str, Any]],
    current: Any = None,
    small: bool = False,
    label: str = "On the street, at one scale",
) -> dict[str, Any]:
    """Placements at their true relative size on one ground line beside a person of 1.75 m.

    Items: {width_mm, height_mm, label, url, image_url, alt, note?, width_px?, height_px?}; mm None where the size of a
    screen is not known (then drawn in the shape of its pixels, and the caption says so); `url` and `image_url` may be
    None. `note` follows the size ("read from 20 m"). `current`: the url of the one shown. `small`: above a stage.
    """
    placed = [
        {**item, "current": bool(current) and item.get("url") == current} for item in drawing.on_the_street(items)
    ]
    width, height = drawing.person_em(items)
    return {"items": placed, "small": small, "label": label, "person_width": width, "person_height": height}


@register.inclusion_tag(HERE + "stage.html")
def picture_stage(
    preview: str, alt: str, width: int, height: int, bare: str = "", layer: str = "", detail: str = "",
    full_width: int | None = None, full_height: int | None = None, hero: Sequence[float] | None = None,
    hero_words: str = "hero zone", faults: Sequence[Mapping[str, Any]] = (), pins: Sequence[Mapping[str, Any]] = (),
    window: Sequence[float] | None = None, zones: Sequence[Mapping[str, Any]] = (), share: int = 100, id: str = "stage",
    proof: str = "", beyond: str = "", proof_words: str = "",
) -> dict[str, Any]:  # fmt: skip
    """A picture under its layout, to lay over, compare, look at pixel for pixel, and mark.

    preview: address of the composed picture, all that is seen without JavaScript. width, height: its pixels.
    bare, layer: the picture without its layout, and the transparent layout, both in the window's shape; without them
    the stage has no slider and no line. share: per cent at which the layout lies over at first.
    detail: template of an address with {x} and {y} (fractions of the window): a crop of the composed picture in its
    full pixels, full_width by full_height in all, whose centre is as near to that point as its edges allow.
    proof, beyond: how the picture prints, and a transparent mark on what ink cannot reach; proof_words says what it is.
    hero, window: (x0, y0, x1, y1), fractions of the picture. zones: {x0, y0, x1, y1, number}, what the page numbers.
    faults: {x0, y0, x1, y1, words, says?}; `says` stands before the words in the list below. pins: {x, y, number, url,
    label}.
    """
    marked = [
        {**drawing.ring(f["x0"], f["y0"], f["x1"], f["y1"]), "words": f["words"], "says": f.get("says", "")}
        for f in faults
    ]
    numbered = [
        {
            **drawing.box(z["x0"], z["y0"], z["x1"], z["y1"]),
            "number": z["number"],
            # Its number stands above a zone, or inside where there is no room above: on no screen, or on a phone's.
            "low": z["y0"] > 0.02 * width / height,
            "tight": z["y0"] <= 0.055 * width / height,
        }
        for z in zones
    ]
    placed = [{**pin, "left": drawing.percent(pin["x"]), "top": drawing.percent(pin["y"])} for pin in pins]
    return {
        "preview": preview, "alt": alt, "width": width, "height": height, "bare": bare, "layer": layer,
        "detail": detail, "proof": proof, "beyond": beyond, "proof_words": proof_words,
        "full_width": full_width or width, "full_height": full_height or height,
        "hero": drawing.box(*hero) if hero else None, "hero_words": hero_words,
        "window": drawing.box(*window) if window else None, "zones": numbered, "faults": marked, "pins": placed,
        "share": share, "id": id,
        "marks": bool(hero or window or marked or numbered),
        "tall": width < 1.15 * height, "wide": width >= 1.5 * height,
    }  # fmt: skip


@register.inclusion_tag(HERE + "hero_zone.html")
def hero_zone(picture: str, alt: str, width: int, height: int, form: forms.BaseForm) -> dict[str, Any]:
    """The editor of the hero zone, inside a `<form>`: drag the rectangle, or type.

    `form` has the number fields x0, y0, x1, y1 in per cent of the picture (0 to 100) from its upper left corner.
    Without JavaScript the zone is drawn as it was last kept, and the numbers are typed.
    """
    drawn = None
    try:
        values = [float(form[name].value()) / 100 for name in ("x0", "y0", "x1", "y1")]
        drawn = drawing.box(*values)
    except (TypeError, ValueError):
        pass  # nothing, or no number, is typed yet: then there is no rectangle to draw
    return {"picture": picture, "alt": alt, "width": width, "height": height, "form": form, "drawn": drawn}
