"""Measure a layout over a picture: `python manage.py measure_preview --layout FILE --backdrop FILE [--json]`."""

from typing import Any

from django.core.management.base import CommandParser

from layouts.imaging.errors import Refused
from layouts.imaging.geometry import Rect, Zone, check_zone
from layouts.imaging.measures.from_files import measure_files
from portal.management.report import ReportCommand, Unusable


class Command(ReportCommand):
    help = (
        "Measures how each block of type of a layout reads over a picture (contrast by WCAG 2.2, 1 to 21; how busy "
        "the ground is, 0 to 1), and how much of the hero zone type and graphics cover. The picture is cropped to the "
        "shape of the layout's window, centred. Zones are in pixels of the layout's canvas."
    )
    refusals = (Refused,)

    def takes(self, parser: CommandParser) -> None:
        parser.add_argument("--layout", required=True, metavar="FILE", help="the designer's transparent layout")
        parser.add_argument("--backdrop", required=True, metavar="FILE", help="the picture that it lies over")
        parser.add_argument(
            "--hero",
            metavar="X0,Y0,X1,Y1",
            help="the hero zone, its edges in fractions (0 to 1) of the layout's window",
        )
        parser.add_argument(
            "--window", metavar="X,Y,W,H", help="the layout's window in pixels of its canvas; left out, it is found"
        )

    def compute(self, options: dict[str, Any]) -> dict[str, Any]:
        return measure_files(
            options["layout"], options["backdrop"], hero=_hero(options["hero"]), window=_window(options["window"])
        )

    def words(self, result: dict[str, Any]) -> str:
        says = [_zone(number, zone) for number, zone in enumerate(result["zones"], start=1)]
        if not says:
            says = ["No type or graphics were found in the layout."]
        if result["hero_overlap"] is not None:
            says.append(f"Type and graphics cover {100 * result['hero_overlap']:.1f} % of the hero zone.")
        return "\n".join(says)


def _zone(number: int, zone: dict[str, Any]) -> str:
    where = f"Zone {number}, {zone['width']} x {zone['height']} px at {zone['x']}, {zone['y']}"
    found = zone["contrast"]
    if found["worst"] is None:
        return f"{where}: its contrast could not be measured."
    busy = "not seen beside it" if zone["busy"] is None else f"busy {zone['busy']:.2f} of 1"
    return (
        f"{where}: contrast {found['worst']:.1f} : 1 at worst, {found['p5']:.1f} : 1 in the 5th of a hundred letters, "
        f"{found['median']:.1f} : 1 in the middle one; ground {busy}."
    )


def _numbers(text: str, option: str, shape: str) -> list[float]:
    try:
        found = [float(part) for part in text.split(",")]
    except ValueError:
        found = []
    if len(found) != 4 or not all(abs(value) < 1e9 for value in found):
        raise Unusable(f"{option} takes four numbers, {shape}, and not “{text}”.")
    return found


def _hero(text: str | None) -> Zone | None:
    if text is None:
        return None
    x0, y0, x1, y1 = _numbers(text, "--hero", "X0,Y0,X1,Y1")
    try:
        check_zone((x0, y0, x1, y1))
    except ValueError:
        raise Unusable(
            f"--hero takes fractions of the window from 0 to 1, X0 below X1 and Y0 below Y1, and not “{text}”."
        ) from None
    return x0, y0, x1, y1


def _window(text: str | None) -> Rect | None:
    if text is None:
        return None
    x, y, width, height = _numbers(text, "--window", "X,Y,W,H")
    if width < 1 or height < 1:
        raise Unusable(f"--window needs a width and a height of at least 1 px, and not “{text}”.")
    return Rect(x, y, width, height)
