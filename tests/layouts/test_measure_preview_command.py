"""Protects the contract of `measure_preview`: keys, units, exit statuses, one sentence for what cannot be used."""

import json

import pytest
from django.core.management import call_command
from PIL import Image, ImageDraw, ImageFont

from tests.layouts.imaging.typesetting import FONT


def layout(path, *, surround=0, type_=(119, 119, 119), hero=None):
    """Type upper left in a window of 1200 x 600, with a surround of so many px, and a block where `hero` says."""
    window = Image.new("RGBA", (1200, 600), (0, 0, 0, 0))
    draw = ImageDraw.Draw(window)
    draw.text((60, 60), "Slow mornings", font=ImageFont.truetype(str(FONT), 120), fill=(*type_, 255))
    if hero:
        draw.rectangle(hero, fill=(0, 0, 0, 255))
    whole = Image.new("RGBA", (1200 + 2 * surround, 600 + 2 * surround), (60, 60, 60, 255))
    whole.paste(window, (surround, surround))
    whole.save(path)
    return str(path)


@pytest.fixture
def backdrop(tmp_path):
    path = tmp_path / "backdrop.png"
    Image.new("RGB", (1500, 900), (255, 255, 255)).save(path)
    return str(path)


def run(capsys, *args):
    with pytest.raises(SystemExit) as ended:
        call_command("measure_preview", *args)
    said = capsys.readouterr()
    return ended.value.code, said.out, said.err


def test_the_published_ratio_comes_out_with_exactly_the_keys_of_the_contract(capsys, tmp_path, backdrop):
    """P WCAG 2.2: #777 on #fff is 4.478089."""
    code, out, err = run(capsys, "--layout", layout(tmp_path / "a.png"), "--backdrop", backdrop, "--json")
    found = json.loads(out)
    assert (code, err) == (0, "")
    assert set(found) == {"zones", "hero_overlap"}
    assert found["hero_overlap"] is None
    (zone,) = found["zones"]
    assert set(zone) == {"x", "y", "width", "height", "contrast", "busy"}
    assert set(zone["contrast"]) == {"worst", "p5", "median"}
    assert zone["contrast"]["median"] == pytest.approx(4.478089, abs=5e-4)
    assert zone["contrast"]["worst"] == pytest.approx(4.478089, rel=1e-3)
    assert zone["busy"] == 0


def test_zones_are_in_pixels_of_the_canvas_and_the_hero_in_fractions_of_the_window(capsys, tmp_path, backdrop):
    plain = layout(tmp_path / "a.png", hero=(900, 300, 1199, 599))
    framed = layout(tmp_path / "b.png", hero=(900, 300, 1199, 599), surround=100)
    both = []
    for path in (plain, framed):
        _, out, _ = run(capsys, "--layout", path, "--backdrop", backdrop, "--hero", "0.5,0.5,1,1", "--json")
        both.append(json.loads(out))
    first, second = (found["zones"][0] for found in both)
    assert (second["x"] - first["x"], second["y"] - first["y"]) == pytest.approx((100, 100), abs=2)
    assert [found["hero_overlap"] for found in both] == pytest.approx([0.5, 0.5], abs=0.005)


def test_the_window_can_be_given(capsys, tmp_path, backdrop):
    path = layout(tmp_path / "a.png", hero=(0, 300, 599, 599))
    args = ["--layout", path, "--backdrop", backdrop, "--hero", "0,0,1,1", "--window", "0,300,600,300", "--json"]
    assert json.loads(run(capsys, *args)[1])["hero_overlap"] == pytest.approx(1)


def test_without_json_it_reads_as_sentences(capsys, tmp_path, backdrop):
    path = layout(tmp_path / "a.png")
    code, out, _ = run(capsys, "--layout", path, "--backdrop", backdrop, "--hero", "0,0.5,1,1")
    assert code == 0
    assert "contrast 4.5 : 1 at worst" in out
    assert "Type and graphics cover 0.0 % of the hero zone." in out


def test_a_layout_without_type_has_no_zones(capsys, tmp_path, backdrop):
    empty = tmp_path / "empty.png"
    Image.new("RGBA", (1200, 600), (0, 0, 0, 0)).save(empty)
    _, out, _ = run(capsys, "--layout", str(empty), "--backdrop", backdrop, "--json")
    assert json.loads(out)["zones"] == []


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (["--hero", "0,0,1"], "--hero takes four numbers, X0,Y0,X1,Y1, and not “0,0,1”."),
        (["--hero", "0.5,0,0.4,1"], "--hero takes fractions of the window from 0 to 1"),
        (["--hero", "0,0,nan,1"], "--hero takes four numbers"),
        (["--hero", "0,0,300,200"], "--hero takes fractions of the window from 0 to 1"),
        (["--window", "0,0,0,10"], "--window needs a width and a height of at least 1 px"),
        (["--window", "5000,0,100,100"], "The window lies outside the layout, whose canvas is 1200 x 600 px."),
    ],
)
def test_what_cannot_be_used_gets_one_sentence_and_status_2(capsys, tmp_path, backdrop, more, says):
    path = layout(tmp_path / "a.png")
    code, out, err = run(capsys, "--layout", path, "--backdrop", backdrop, *more)
    assert (code, out) == (2, "")
    assert err.startswith(says)
    assert err.count("\n") == 1


def test_files_that_are_not_there_or_no_pictures_get_one_sentence(capsys, tmp_path, backdrop):
    none, text = tmp_path / "none.png", tmp_path / "text.png"
    text.write_text("no picture")
    path = layout(tmp_path / "a.png")
    for args in (
        ["--layout", str(none), "--backdrop", backdrop],
        ["--layout", path, "--backdrop", str(none)],
        ["--layout", str(text), "--backdrop", backdrop],
        ["--layout", path, "--backdrop", str(text)],
        ["--layout", path],
    ):
        code, out, err = run(capsys, *args)
        assert (code, out) == (2, "")
        assert err.count("\n") == 1
        assert "Traceback" not in err
