"""Plan a shot's captures: `python manage.py plan_captures FILE [--json]`."""

import json
import sys
from typing import Any

from django.core.management.base import CommandParser

from layouts.imaging.framing.plan import plan
from layouts.imaging.framing.problem import Unplannable
from layouts.imaging.framing.reading import read_problem
from layouts.imaging.framing.report import as_data, in_words
from portal.management.report import ReportCommand, Unusable


class Command(ReportCommand):
    help = (
        "Plans the fewest captures such that every placement of a shot keeps the pixels that its artwork needs, and "
        "among those the plan whose worst placement has the most to spare. FILE is JSON: camera (width, height, px), "
        "hero_aspect, margin, enlargement, and placements (id, aspect, zone [x0, y0, x1, y1] in parts of the window, "
        "need [w, h] px, anchor [ax, ay], mm [w, h], artwork_scale; distance_m and hero_down_to where they are known). "
        "- reads standard input. Assumed: one camera position; pixels are not resolved detail."
    )
    refusals = (Unplannable,)

    def takes(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE", help="the problem, JSON; - for standard input")

    def compute(self, options: dict[str, Any]) -> dict[str, Any]:
        problem, cautions = read_problem(_read(options["file"]))
        return as_data(plan(problem), cautions)

    def words(self, result: dict[str, Any]) -> str:
        return in_words(result)

    def must_fix(self, result: dict[str, Any]) -> bool:
        return bool(result["not_served"])


def _read(path: str) -> Any:
    where = "Standard input" if path == "-" else path
    try:
        if path == "-":
            return json.load(sys.stdin)
        with open(path, encoding="utf-8-sig") as file:
            return json.load(file)
    except json.JSONDecodeError as slip:
        raise Unusable(f"{where} is not JSON: line {slip.lineno}, column {slip.colno}, {slip.msg.lower()}.") from None
    except (UnicodeDecodeError, RecursionError):
        raise Unusable(f"{where} is not JSON in UTF-8.") from None
    except ValueError:
        raise Unusable(f"{where} holds a number that is too long to be read.") from None
