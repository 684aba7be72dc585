"""A plan as plain data, by the contract of `plan_captures`, and as sentences."""

from __future__ import annotations

from typing import Any

from layouts.imaging.framing import resolution
from layouts.imaging.framing.geometry import Box, Framing, density_needed, hull, window_of
from layouts.imaging.framing.lens import straightening
from layouts.imaging.framing.plan import Capture, Crop, NotServed, Plan
from layouts.imaging.framing.problem import Placement, Problem
from layouts.imaging.framing.stitch import ground_plate, tiles
from layouts.imaging.framing.windows import spare_alone


def as_data(plan: Plan, cautions: list[str] | None = None) -> dict[str, Any]:
    """One JSON object. Pixels are camera pixels, unrounded; boxes of the scene are in hero heights; null is unknown."""
    return {
        "captures": [_capture(plan.problem, capture) for capture in plan.captures],
        "not_served": [_not_served(plan.problem, one) for one in plan.not_served],
        "worst_spare": plan.worst_spare,
        "settled": plan.settled,
        "placements": [_placement(plan.problem, p) for p in plan.problem.placements],
        "cautions": cautions or [],
    }


def _way(landscape: bool) -> str:
    return "landscape" if landscape else "portrait"


def _scene(box: Box) -> dict[str, float]:
    return {"left": box.left, "top": box.top, "width": box.width, "height": box.height}


def hero_in(framing: Framing, hero_aspect: float) -> tuple[float, float, float, float]:
    """x, y, width, height of the hero in camera pixels."""
    return framing.pixels(Box(-hero_aspect / 2, -0.5, hero_aspect / 2, 0.5))


def _capture(problem: Problem, capture: Capture) -> dict[str, Any]:
    framing = capture.framing
    held = hull(crop.box for crop in capture.crops)
    return {
        "orientation": _way(framing.landscape),
        "width": framing.width,
        "height": framing.height,
        "spare": capture.spare,
        "px_per_hero_height": framing.density,
        "framing": _scene(framing.box),
        "straightens_deg": straightening(framing.box, held),
        "hero": dict(zip(("x", "y", "width", "height"), hero_in(framing, problem.hero_aspect), strict=True)),
        "crops": [_crop(crop) for crop in capture.crops],
    }


def _crop(crop: Crop) -> dict[str, Any]:
    p, size = crop.placement, (crop.width, crop.height)
    full = resolution.ppi_at_full_size(size, p.mm) if p.mm else None
    eye = resolution.ppi_for_the_eye(p.distance_m) if p.distance_m else None
    return {
        "id": p.id,
        "x": crop.x,
        "y": crop.y,
        "width": crop.width,
        "height": crop.height,
        "spare": crop.spare,
        "ppi_full": full,
        "ppi_artwork": full * p.artwork_scale if full and p.artwork_scale else None,
        "ppi_eye": eye,
        "enough_for_eye": full >= eye if full and eye else None,
        "pixels": list(crop.pixels),
    }


def _not_served(problem: Problem, one: NotServed) -> dict[str, Any]:
    stitched = tiles(problem, one.box, one.placement.need)
    plate = ground_plate(problem, one.box, one.placement.need)
    return {
        "id": one.placement.id,
        "spare_alone": one.spare_alone,
        "tiles": [stitched.columns, stitched.rows],
        "orientation": _way(stitched.landscape),
        "overlap": stitched.overlap,
        "ground_plate": {"hero_spare": plate.hero_spare, "ground_enlarged": plate.ground_enlarged},
    }


def _placement(problem: Problem, p: Placement) -> dict[str, Any]:
    box = window_of(p, problem.hero_aspect)
    return {
        "id": p.id,
        "window": {"left": box.left, "top": box.top, "right": box.right, "bottom": box.bottom},
        "density_needed": density_needed(box, p.need),
        "spare_alone": spare_alone(problem, p),
    }


def in_words(data: dict[str, Any]) -> str:
    """What `as_data` gave, as lines to read."""
    count = len(data["captures"])
    says = []
    if count:
        takes = "One capture serves" if count == 1 else f"{count} captures serve"
        what = "all placements" if not data["not_served"] else "all but those named below"
        says.append(f"{takes} {what}; the tightest placement has {data['worst_spare']:.3f} times the pixels it needs.")
    elif not data["not_served"]:
        says.append("No placements, so no captures.")
    for number, capture in enumerate(data["captures"], start=1):
        says += _capture_words(number, capture)
    says += [_missing_words(one) for one in data["not_served"]]
    if count and data["settled"] < count:
        says.append(f"Only the {data['settled']} worst spares are proven the greatest possible.")
    return "\n".join([*says, *data["cautions"]])


def _capture_words(number: int, capture: dict[str, Any]) -> list[str]:
    hero = capture["hero"]
    says = [
        f"Capture {number}, {capture['orientation']} {capture['width']:g} x {capture['height']:g} px: the hero is "
        f"{hero['width']:.0f} x {hero['height']:.0f} px at {hero['x']:.0f}, {hero['y']:.0f}; spare "
        f"{capture['spare']:.3f}; can be straightened by {capture['straightens_deg']:.1f} degrees."
    ]
    for crop in capture["crops"]:
        ppi = [
            f"{crop[key]:.1f} ppi {name}"
            for key, name in (("ppi_full", "at full size"), ("ppi_artwork", "in the artwork"))
            if crop[key] is not None
        ]
        tail = f", {' and '.join(ppi)}" if ppi else ""
        says.append(
            f"  {crop['id']}: {crop['width']:.0f} x {crop['height']:.0f} px at {crop['x']:.0f}, {crop['y']:.0f}, spare "
            f"{crop['spare']:.3f}{tail}."
        )
    return says


def _missing_words(one: dict[str, Any]) -> str:
    columns, rows = one["tiles"]
    plate = one["ground_plate"]
    return (
        f"{one['id']}: no single capture serves it; alone it gets {one['spare_alone']:.3f} of its pixels. Stitched, "
        f"{columns * rows} {one['orientation']} tiles ({columns} x {rows}) with an overlap of {one['overlap']:g}; or "
        f"the hero from a capture of its own (spare {plate['hero_spare']:.3f}) over ground enlarged "
        f"{plate['ground_enlarged']:.2f} times."
    )
