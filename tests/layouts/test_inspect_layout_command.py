"""Protects the command inspect_layout: its keys and units, its exit statuses, and one sentence for what is no use."""

import io
import json

import pytest
from django.core.management import call_command
from PIL import Image

from tests.layouts.imaging.drawing import draw_layout


def run(*args: str) -> tuple[int, str, str]:
    """Exit status, standard output and standard error."""
    out, error = io.StringIO(), io.StringIO()
    with pytest.raises(SystemExit) as ended:
        call_command("inspect_layout", *args, stdout=out, stderr=error)
    return ended.value.code, out.getvalue(), error.getvalue()


def test_json_has_the_contracts_keys_and_units(tmp_path):
    drawn = draw_layout(tmp_path / "a.png", (1600, 800), kind="surround", margins=(100, 100, 100, 100))

    status, out, error = run(str(drawn.path), "--json", "--aspect", "7:3", "--mm", "7000x3000", "--px", "1400x600")

    found = json.loads(out)
    assert (status, error) == (0, "")
    assert {"file", "alpha", "window", "type_zones", "faults"} <= found.keys()
    assert found["file"].keys() == {"sha256", "bytes", "type", "width", "height", "mode", "profile"}
    assert found["alpha"].keys() == {"present", "clear", "solid", "half"}
    window = found["window"]
    assert (window["x"], window["y"], window["width"], window["height"]) == (100, 100, 1400, 600)
    assert (window["kind"], window["sure"]) == ("surround", 0.95)
    zone = found["type_zones"][0]
    assert {"x", "y", "width", "height", "lines"} <= zone.keys()
    line = zone["lines"][0]
    assert {"y", "height", "mm", "reads_to_m"} <= line.keys()
    assert line["mm"] == pytest.approx(line["height"] * 5, abs=3)  # 3000 mm on 600 px
    assert line["reads_to_m"] == pytest.approx(line["mm"] / 2.5, abs=0.1)
    assert [fault.keys() for fault in found["faults"]] == [{"code", "level", "says"}]


def test_without_the_posters_size_nothing_is_said_in_millimetres(tmp_path):
    drawn = draw_layout(tmp_path / "a.png", (1600, 800))

    _, out, _ = run(str(drawn.path), "--json")

    lines = [line for zone in json.loads(out)["type_zones"] for line in zone["lines"]]
    assert lines
    assert all(line["mm"] is None and line["reads_to_m"] is None for line in lines)


def test_something_to_mend_gives_status_1(tmp_path):
    drawn = draw_layout(tmp_path / "a.png", (1000, 1000))

    status, out, _ = run(str(drawn.path), "--px", "7200x3600")

    assert status == 1
    assert "Must fix: This file is 1000 x 1000 px, which is 1 : 1; what was ordered is 2 : 1." in out


def test_the_report_reads_as_sentences_with_the_caution(tmp_path):
    drawn = draw_layout(tmp_path / "a.png", (1600, 800))

    status, out, _ = run(str(drawn.path), "--mm", "6000 × 3000")

    assert status == 0
    assert "Window 1600 x 800 px from 0, 0: the whole canvas is the poster (sure, 0.90)" in out
    assert "common practice for outdoor signs" in out
    assert "Worth a look: This file carries no colour profile" in out


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (["--aspect", "wide"], "--aspect takes two numbers above 0, such as 2:1; this is “wide”."),
        (["--aspect", "2:0"], "--aspect takes two numbers above 0, such as 2:1; this is “2:0”."),
        (["--mm", "6000"], "--mm takes two numbers above 0, such as 6000x3000; this is “6000”."),
        (["--px", "12.5x3"], "--px takes two whole numbers above 0, such as 7200x3600; this is “12.5x3”."),
        (["--mm", "nanxinf"], "--mm takes two numbers above 0"),
        (["--mm", "6000x3000", "--aspect", "4:1"], "one poster has one shape, so give sizes that agree."),
    ],
)
def test_arguments_that_cannot_be_are_refused_in_one_sentence(tmp_path, args, says):
    drawn = draw_layout(tmp_path / "a.png", (400, 200))

    status, out, error = run(str(drawn.path), *args)

    assert (status, out) == (2, "")
    assert says in error
    assert error.count("\n") <= 1


@pytest.mark.parametrize("kind", ["missing", "folder", "empty", "text", "cut off"])
def test_files_that_cannot_be_used_are_refused_in_one_sentence(tmp_path, kind):
    path = tmp_path / "a.png"
    if kind == "folder":
        path.mkdir()
    elif kind == "cut off":
        Image.effect_noise((400, 200), 90).convert("RGBA").save(path)
        path.write_bytes(path.read_bytes()[:20_000])
    elif kind != "missing":
        path.write_text("" if kind == "empty" else "no picture at all")

    status, out, error = run(str(path), "--json")

    assert (status, out) == (2, "")
    assert error.strip().endswith(".")
    assert "Traceback" not in error
    assert error.count("\n") <= 1
