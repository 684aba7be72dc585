"""Protects the capture plan against worked examples, to every printed digit, and optics against formulas by hand.

Marks: P published figure or standard; F follows from the named formula; C common practice, no source.
"""

import json
import math
from pathlib import Path

import pytest
from django.core.management import call_command

from layouts.imaging.framing.geometry import Box, Framing
from layouts.imaging.framing.lens import (
    distance_for,
    focal_for,
    straightening,
    straightening_of_margin,
    tile_setting,
    turns,
)
from layouts.imaging.framing.levers import levers
from layouts.imaging.framing.plan import plan
from layouts.imaging.framing.problem import Placement, Problem
from layouts.imaging.framing.reading import read_problem
from layouts.imaging.framing.resolution import need_of_artwork, ppi_at_full_size, ppi_for_the_eye, ppi_of_artwork
from layouts.imaging.framing.stitch import Tiles, ground_plate, tiles

EXAMPLES = json.loads((Path(__file__).parent / "capture_plan_examples.json").read_text())["examples"]
SIDES = ("x", "y", "width", "height")


def printed(value, text):
    """Whether a number prints to these digits."""
    digits = len(text.partition(".")[2])
    return value == pytest.approx(float(text), abs=0.5000001 * 10**-digits)


@pytest.fixture(params=EXAMPLES, ids=lambda example: example["name"])
def worked(request, tmp_path, capsys):
    """An example, the command's JSON for it, and its exit status."""
    path = tmp_path / "problem.json"
    path.write_text(json.dumps(request.param["input"]))
    with pytest.raises(SystemExit) as ended:
        call_command("plan_captures", str(path), "--json")
    said = capsys.readouterr()
    assert said.err == ""
    return request.param, json.loads(said.out), ended.value.code


def test_windows_densities_and_spares_alone(worked):
    example, found, _ = worked
    rows = {row["id"]: row for row in found["placements"]}
    for name, left, top, right, bottom, density, alone in example["windows"]:
        window = rows[name]["window"]
        for edge, text in (("left", left), ("top", top), ("right", right), ("bottom", bottom)):
            assert printed(window[edge], text), (name, edge)
        assert printed(rows[name]["density_needed"], density), name
        assert printed(rows[name]["spare_alone"], alone), name


def test_captures_their_framing_hero_and_spares(worked):
    example, found, _ = worked
    assert len(found["captures"]) == len(example["captures"]) == found["settled"]
    assert printed(found["worst_spare"], example["spares"][0])
    for capture, want, spare in zip(found["captures"], example["captures"], example["spares"], strict=True):
        assert capture["orientation"] == want["orientation"]
        assert [capture["width"], capture["height"]] == [float(side) for side in want["size"]]
        assert printed(capture["spare"], spare)
        assert printed(capture["px_per_hero_height"], want["px_per_hero_height"])
        for key, text in zip(("left", "top", "width", "height"), want["framing"], strict=True):
            assert printed(capture["framing"][key], text), key
        for key, text in zip(SIDES, want["hero"], strict=True):
            assert printed(capture["hero"][key], text), key


def test_crops_their_spares_and_ppi(worked):
    example, found, _ = worked
    for capture, want in zip(found["captures"], example["captures"], strict=True):
        assert [crop["id"] for crop in capture["crops"]] == [row[0] for row in want["crops"]]
        for crop, (name, *texts) in zip(capture["crops"], want["crops"], strict=True):
            keys = [*SIDES, "spare", "ppi_full", "ppi_artwork"][: len(texts)]
            for key, text in zip(keys, texts, strict=True):
                assert crop[key] is None if text == "screen" else printed(crop[key], text), (name, key)


def test_what_no_capture_serves_its_tiles_and_the_exit_status(worked):
    example, found, code = worked
    says = [[row["id"], *row["tiles"], row["orientation"], f"{row['overlap']:g}"] for row in found["not_served"]]
    assert says == example["not_served"]
    assert code == (1 if example["not_served"] else 0)


def example(name):
    return read_problem(next(e for e in EXAMPLES if e["name"] == name)["input"])[0]


def cut(problem, share):
    """Every printed need cut to a share; screens stay."""
    return Problem(
        problem.camera, problem.hero_aspect,
        tuple(
            Placement(p.id, p.aspect, p.zone, (p.need[0] * share, p.need[1] * share), p.anchor) if p.mm else p
            for p in problem.placements
        ),
        problem.margin, problem.enlargement,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("name", "share", "captures", "missing", "worst"),
    [("3", 2 / 3, 2, 0, 1.135), ("3", 0.5, 1, 0, 1.104), ("3b", 2 / 3, 2, 1, None), ("3b", 0.5, 2, 0, None)],
)
def test_what_lower_needs_give(name, share, captures, missing, worst):
    """The definition's own section on realistic needs."""
    found = plan(cut(example(name), share))
    assert (len(found.captures), len(found.not_served)) == (captures, missing)
    assert worst is None or found.worst_spare == pytest.approx(worst, abs=5e-4)


def test_levers_answer_as_the_definition_does():
    """The same section: E = 1.5, 2 captures and nothing unserved; 300 to 200 ppi, 2 captures, worst 1.135."""
    found = {(lever.kind, lever.value): lever for lever in levers(example("3"))}
    larger, lower = found["enlargement", 1.5], found["artwork ppi", "300 to 200, 150 to 100"]
    assert (larger.captures, larger.not_served, larger.better) == (2, (), 1)
    assert (lower.captures, lower.not_served, lower.better) == (2, (), 1)
    assert lower.worst_spare == pytest.approx(1.135, abs=5e-4)


@pytest.mark.parametrize(("metres", "ppi"), [(1, 87.319), (5, 17.464), (10, 8.732), (20, 4.366), (50, 1.746)])
def test_one_minute_of_arc_in_ppi(metres, ppi):
    """F 25.4 / (d tan(1/60 deg)); one minute is Snellen's 20/20 (P)."""
    assert ppi_for_the_eye(metres) == pytest.approx(ppi, abs=5e-4)


def test_ppi_by_hand():
    """F: 6096 mm are 240 in, 7200 px over 240 are 30 ppi and 300 at 1:10; 1200 mm are 47.244 in."""
    assert ppi_at_full_size((7200, 3600), (6096, 3048)) == pytest.approx(30)
    assert ppi_of_artwork((7200, 3600), (6096, 3048), 10) == pytest.approx(300)
    assert (
        ppi_at_full_size((3543, 6000), (1200, 1800))
        == pytest.approx(3543 * 25.4 / 1200)
        == pytest.approx(74.993, abs=6e-4)
    )
    assert ppi_of_artwork((3543, 6000), (1200, 1800), 2) == pytest.approx(149.99, abs=5e-3)
    assert need_of_artwork((6096, 3048), 10, 300) == pytest.approx((7200, 3600))


@pytest.mark.parametrize(
    ("aspect", "margin", "degrees"),
    [(4 / 3, 0.02, 1.81), (4 / 3, 0.03, 2.795), (4 / 3, 0.05, 4.94),
     (3 / 2, 0.02, 1.61), (3 / 2, 0.03, 2.47), (3 / 2, 0.05, 4.36)],
)  # fmt: skip
def test_what_a_margin_lets_one_straighten(aspect, margin, degrees):
    """F: the crop turned by t is W cos t + H sin t wide; and, turned so, its corners touch the frame.

    The definition prints 2.79 for 4:3 and 0.03; its formula gives 2.7951.
    """
    t = straightening_of_margin(aspect, margin)
    assert t == pytest.approx(degrees, abs=5e-3)
    assert straightening_of_margin(1 / aspect, margin) == pytest.approx(t)
    u, turn = 1 - 2 * margin, math.radians(t)
    wide = u * (aspect * math.cos(turn) + math.sin(turn)) / aspect
    high = u * (aspect * math.sin(turn) + math.cos(turn))
    assert max(wide, high) == pytest.approx(1, abs=1e-12)


def test_straightening_counts_where_the_crops_lie():
    frame = Box(0, 0, 3, 2)
    assert straightening(frame, Box(1, 0.5, 2, 1.5)) == 90
    assert straightening(frame, frame) == 0
    middle, aside = Box(0.5, 0.5, 2.5, 1.5), Box(0.9, 0.5, 2.9, 1.5)
    assert 0 < straightening(frame, aside) < straightening(frame, middle)


FRAME = Framing(True, 6000, 4000, 1000, Box(-3, -2, 3, 2))  # 6 x 4 hero heights


def test_a_lens_for_a_framing_by_hand():
    """F thin lens: a hero of 100 mm makes the framing 600 mm; 36 mm of sensor: m = 0.06; u = f (1 + 1/m)."""
    from_f = distance_for(FRAME, (36, 24), 100, 60)
    assert from_f.magnification == pytest.approx(0.06)
    assert from_f.distance_mm == pytest.approx(60 * (1 + 1 / 0.06)) == pytest.approx(1060)
    back = focal_for(FRAME, (24, 36), 100, 1060)
    assert (back.focal_mm, back.framing_mm) == (pytest.approx(60), pytest.approx((600, 400)))
    image = 60 * 1.06
    assert 1 / 1060 + 1 / image == pytest.approx(1 / 60)
    assert back.view_deg[0] == pytest.approx(2 * math.degrees(math.atan(18 / image)))


def test_the_turn_from_tile_to_tile_by_hand():
    """F: 36 mm behind 50 mm see 39.598 degrees; three tenths shared leave a turn of 27.718."""
    turn = turns(Tiles(2, 1, True, 0.3), (6000, 4000), (36, 24), 50)
    assert turn.across_deg == pytest.approx(0.7 * 39.5978, abs=1e-4)
    assert turn.down_deg == 0
    assert turn.overlap_px == pytest.approx((1800, 1200))
    upright = turns(Tiles(2, 2, False, 0.3), (6000, 4000), (36, 24), 50)
    assert upright.across_deg == pytest.approx(0.7 * 2 * math.degrees(math.atan(12 / 50)))


def test_a_tile_and_a_ground_plate_by_hand():
    """F, example 2's D: 14400 x 3600 px over 10 x 2.5 hero heights, 5400 x 3600 px within the margin."""
    problem = Problem((6000, 4000), 1.0, (), margin=0.05)
    box, need = Box(-5, -1.25, 5, 1.25), (14400, 3600)
    assert tiles(problem, box, need).count == 4
    plate = ground_plate(problem, box, need)
    assert plate.hero_spare == pytest.approx(3600 / 1440)
    assert plate.ground_enlarged == pytest.approx(14400 / 5400)
    tile = tile_setting(1440, (6000, 4000), True, (36, 24), 100, 1060)
    seen = 6000 / 1440 * 100
    assert tile.framing_mm[0] == pytest.approx(seen)
    assert tile.focal_mm == pytest.approx(1060 * (36 / seen) / (1 + 36 / seen))
