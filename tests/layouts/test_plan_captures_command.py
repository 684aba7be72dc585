"""Protects the contract of `plan_captures`: keys, exit statuses, one sentence for each thing that cannot be planned."""

import copy
import io
import json
import random

import pytest
from django.core.management import call_command

from layouts.imaging.framing.plan import plan
from layouts.imaging.framing.problem import TooLarge
from layouts.imaging.framing.reading import read_problem
from tests.layouts.imaging.framing.cases import drawn

GOOD = {
    "camera": {"width": 6000, "height": 4000},
    "hero_aspect": 1,
    "placements": [
        {"id": "A", "aspect": 2, "zone": [0.25, 0.25, 0.5, 0.75], "need": [3000, 1500], "mm": [6000, 3000]},
        {"id": "B", "aspect": 0.5, "zone": [0.2, 0.5, 0.8, 0.8], "need": [1200, 2400], "anchor": [0.5, 0.5]},
    ],
}


@pytest.fixture
def run(tmp_path, capsys):
    def run(data, *args):
        path = tmp_path / "problem.json"
        path.write_text(data if isinstance(data, str) else json.dumps(data))
        with pytest.raises(SystemExit) as ended:
            call_command("plan_captures", str(path), *args)
        said = capsys.readouterr()
        return ended.value.code, said.out, said.err

    return run


def changed(path, value):
    data = copy.deepcopy(GOOD)
    at = data
    for key in path[:-1]:
        at = at[key]
    at[path[-1]] = value
    return data


def test_keys_are_those_of_the_contract(run):
    code, out, err = run(GOOD, "--json")
    found = json.loads(out)
    assert (code, err) == (0, "")
    assert set(found) >= {"captures", "not_served", "worst_spare"}
    capture = found["captures"][0]
    assert set(capture) >= {"orientation", "width", "height", "spare", "px_per_hero_height", "hero", "crops"}
    assert set(capture["hero"]) == {"x", "y", "width", "height"}
    crop = capture["crops"][0]
    assert set(crop) >= {"id", "x", "y", "width", "height", "spare", "ppi_full", "ppi_artwork"}
    assert crop["ppi_full"] == pytest.approx(crop["width"] / (6000 / 25.4))
    assert crop["ppi_artwork"] is None, "no scale is known"
    assert capture["crops"][1]["ppi_full"] is None, "no size is known"


def test_defaults_are_those_of_the_definition(run):
    whole = {**GOOD, "margin": 0.03, "enlargement": 1}
    whole["placements"] = [{"anchor": [0.5, 0.5], "artwork_scale": None, **row} for row in GOOD["placements"]]
    assert run(GOOD, "--json") == run(whole, "--json")


def test_what_is_not_served_is_listed_and_the_status_is_1(run):
    code, out, err = run(changed(("placements", 0, "need"), [14400, 7200]), "--json")
    (one,) = json.loads(out)["not_served"]
    assert (code, err) == (1, "")
    assert set(one) >= {"id", "spare_alone", "tiles", "orientation"}
    assert one["id"] == "A"
    assert one["spare_alone"] == pytest.approx(0.94 * 6000 / 14400)


def test_nothing_asked_is_nothing_to_take(run):
    code, out, _ = run({**GOOD, "placements": []}, "--json")
    found = json.loads(out)
    assert (code, found["captures"], found["not_served"], found["worst_spare"]) == (0, [], [], None)


def test_without_json_it_reads_as_lines(run):
    code, out, _ = run(changed(("placements", 0, "need"), [14400, 7200]))
    assert code == 1
    assert out.startswith("One capture serves all but those named below; the tightest placement has 2.350 times")
    assert "A: no single capture serves it; alone it gets 0.392 of its pixels. Stitched, 12 landscape tiles (4" in out
    assert run({**GOOD, "placements": []})[1] == "No placements, so no captures.\n"


def test_the_eye_is_asked_where_the_distance_is_known(run):
    found = json.loads(run(changed(("placements", 0, "distance_m"), 10), "--json")[1])
    crop = found["captures"][0]["crops"][0]
    assert crop["ppi_eye"] == pytest.approx(8.732, abs=5e-4)
    assert crop["enough_for_eye"] is True


def test_a_key_that_is_not_known_and_a_shape_that_differs_are_said(run):
    data = changed(("placements", 0, "ancor"), [0, 0])
    data["enlargment"] = 2
    data["placements"][1]["need"] = [1200, 2000]
    says = json.loads(run(data, "--json")[1])["cautions"]
    assert says == [
        "“enlargment” in the input is not known and was left out of account.",
        "“ancor” in placement “A” is not known and was left out of account.",
        "Placement “B”: 1200 × 2000 px is 0.6 : 1, but its window is 0.5 : 1; the plan gives it the pixels of the "
        "tighter side.",
    ]


@pytest.mark.parametrize(
    ("path", "value", "says"),
    [
        (("hero_aspect",), None, "The input has no “hero_aspect”."),
        (("hero_aspect",), "2", "The hero's aspect must be a number, and not “2”."),
        (("hero_aspect",), 0.019, "The hero's aspect must be a number from 0.02 to 50, and not 0.019."),
        (("hero_aspect",), 51, "The hero's aspect must be a number from 0.02 to 50, and not 51.0."),
        (("margin",), 0.26, "The margin must be a number from 0 to 0.25 of the framing on each side, and not 0.26."),
        (("margin",), -0.01, "The margin must be a number from 0 to 0.25 of the framing on each side, and not -0.01."),
        (("margin",), True, "The margin must be a number, and not True."),
        (("enlargement",), 0.9, "The enlargement must be a number from 1 to 4, and not 0.9."),
        (("enlargement",), 4.1, "The enlargement must be a number from 1 to 4, and not 4.1."),
        (("camera",), [6000, 4000], "“camera” must be an object with named values, and not [6000, 4000]."),
        (("camera", "width"), 15, "The camera's width must be a number from 16 to 1e+06 px, and not 15.0."),
        (("camera", "height"), None, "The camera's height is missing."),
        (("placements",), {"A": 1}, "“placements” must be a list, and not {'A': 1}."),
        (("placements", 1), 7, "Placement 2 must be an object with named values, and not 7."),
        (("placements", 1, "id"), None, "Placement 2 needs an “id”, text or a whole number, and not None."),
        (("placements", 1, "id"), "A", "Two placements are called “A”; each needs a name of its own."),
        (
            ("placements", 0, "aspect"),
            0.01,
            "Placement “A”: its aspect must be a number from 0.02 to 50, and not 0.01.",
        ),
        (("placements", 0, "aspect"), "wide", "Placement “A”: its aspect must be a number, and not “wide”."),
        (
            ("placements", 0, "zone"),
            [0.5, 0.25, 0.25, 0.75],
            "Placement “A”: its hero zone runs from 0.5 to 0.25 across; the first must be the smaller.",
        ),
        (
            ("placements", 0, "zone"),
            [0.25, 0.5, 0.5, 0.505],
            "Placement “A”: its hero zone runs from 0.5 to 0.505 down; it must be at least 0.01 of the window.",
        ),
        (
            ("placements", 0, "zone"),
            [0.25, 0.25, 1.5, 0.75],
            "Placement “A”: each edge of its hero zone must be a number from 0 to 1 of the window, and not 1.5.",
        ),
        (
            ("placements", 0, "zone"),
            [0.25, 0.25, 0.5],
            "Placement “A”: its hero zone must be 4 numbers, [x0, y0, x1, y1], and not [0.25, 0.25, 0.5].",
        ),
        (
            ("placements", 0, "need"),
            [-3000, 1500],
            "Placement “A”: its needed width must be a number from 1 to 1e+06 px, and not -3000.0.",
        ),
        (
            ("placements", 0, "need"),
            [3000, 2e6],
            "Placement “A”: its needed height must be a number from 1 to 1e+06 px, and not 2000000.0.",
        ),
        (
            ("placements", 1, "anchor"),
            [2, 0],
            "Placement “B”: its anchor across must be a number from 0 to 1, and not 2.0.",
        ),
        (("placements", 1, "anchor"), 0.5, "Placement “B”: its anchor must be 2 numbers, [across, down], and not 0.5."),
        (
            ("placements", 1, "hero_down_to"),
            0.2,
            "Placement “B”: its share that the hero may shrink to must be a number from 0.5 to 1 of its zone, and not "
            "0.2.",
        ),
        (("placements", 1, "mm"), [0, 5], "Placement “B”: its width must be a number from 1 to 1e+06 mm, and not 0.0."),
    ],
)
def test_what_cannot_be_planned_gets_a_sentence_that_names_it(run, path, value, says):
    assert run(changed(path, value), "--json") == (2, "", says + "\n")


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e999", "9" * 400, "true", '"2"'])
@pytest.mark.parametrize("place", ["6000", "0.25", "3000", '"hero_aspect": 1'])
def test_no_number_that_is_none_comes_in_anywhere(run, number, place):
    text = json.dumps(GOOD)
    new = f'"hero_aspect": {number}' if "hero" in place else number
    code, out, err = run(text.replace(place, new, 1))
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    assert "must be" in err


@pytest.mark.parametrize(
    ("text", "says"),
    [("{", "is not JSON: line 1, column 2"), ("[]", "The input must be an object"), ("\x00", "is not JSON: line 1"),
     ("9" * 5000, "holds a number that is too long"), ("[" * 100_000, "is not JSON")],
)  # fmt: skip
def test_a_file_that_is_not_json_gets_a_sentence(run, text, says):
    code, out, err = run(text, "--json")
    assert (code, out) == (2, "")
    assert says in err
    assert err.count("\n") == 1


def test_a_file_that_is_not_there_gets_a_sentence(capsys, tmp_path):
    with pytest.raises(SystemExit) as ended:
        call_command("plan_captures", str(tmp_path / "none.json"))
    assert ended.value.code == 2
    assert capsys.readouterr().err.endswith("none.json cannot be opened: no such file or directory.\n")


def test_it_reads_standard_input(capsys, monkeypatch):
    monkeypatch.setattr("sys.stdin", io.StringIO(json.dumps(GOOD)))
    with pytest.raises(SystemExit) as ended:
        call_command("plan_captures", "-", "--json")
    assert ended.value.code == 0
    assert len(json.loads(capsys.readouterr().out)["captures"]) == 1


def test_past_what_can_be_settled_there_is_a_sentence_and_no_answer():
    rows = []
    for i in range(170):  # each reaches further left and less far right than the one before
        rows.append({"id": i, "aspect": 3, "zone": [0.2 + i / 400, 0.3, 0.5 + i / 400, 0.7], "need": [900, 300]})
    problem, _ = read_problem({**GOOD, "placements": rows})
    with pytest.raises(TooLarge, match="170 of these 170 placements differ so that none rides in another's capture"):
        plan(problem)
    hard = drawn(random.Random(1), 24, between=(1.05, 3), copies=0, margins=(0.03,))
    assert plan(hard).captures
    with pytest.raises(TooLarge, match="Plan fewer formats at a time"):
        plan(hard, effort=0)
