"""Protects the command render_preview: what the contract says it prints and writes, and one sentence on refusal."""

import json

import numpy as np
import pytest
from PIL import Image

from layouts.management.commands.render_preview import Command
from tests.layouts.imaging.drawing import draw_layout, draw_picture


@pytest.fixture
def given(tmp_path):
    """A noisy layout with every alpha, and a noisy picture of its size."""
    rng = np.random.default_rng(11)
    Image.fromarray(rng.integers(0, 256, (150, 300, 4), dtype=np.uint8)).save(tmp_path / "layout.png")
    Image.fromarray(rng.integers(0, 256, (150, 300, 3), dtype=np.uint8)).save(tmp_path / "picture.png")
    return tmp_path


def run(capsys, folder, *args, layout="layout.png", backdrop="picture.png", out="out.png"):
    named = ["--layout", folder / layout, "--backdrop", folder / backdrop, "--out", folder / out, *args]
    with pytest.raises(SystemExit) as ended:
        Command().run_from_argv(["manage.py", "render_preview", *map(str, named)])
    out, err = capsys.readouterr()
    return ended.value.code, out, err


def opened(path):
    with Image.open(path) as image:
        return image.format, image.size, np.asarray(image)


def exact(folder):
    layer, base = (opened(folder / name)[2].astype(float) for name in ("layout.png", "picture.png"))
    alpha = layer[..., 3:] / 255
    return layer[..., :3] * alpha + base * (1 - alpha)


@pytest.mark.parametrize("args", [[], ["--width", "300"], ["--fit", "contain"], ["--window", "0,0,300,150"]])
def test_equal_sizes_are_source_over_to_one_level_and_nothing_is_resampled(capsys, given, args):
    """W3C Compositing and Blending Level 1, 9.1.4, worked in floating point."""
    code, out, err = run(capsys, given, "--json", *args)

    told = json.loads(out)
    assert (code, err) == (0, "")
    assert set(told) == {"width", "height", "window", "seconds", "peak_mib"}
    assert (told["width"], told["height"]) == (300, 150)
    assert told["window"] == {"x": 0, "y": 0, "width": 300, "height": 150}
    assert told["seconds"] > 0
    assert told["peak_mib"] > 1
    assert np.abs(opened(given / "out.png")[2].astype(float) - exact(given)).max() <= 1


def test_a_window_is_cut_out(capsys, given):
    code, out, _ = run(capsys, given, "--json", "--window", "20,10,200,100", "--width", "200", "--fit", "cover")

    assert code == 0
    assert json.loads(out)["window"] == {"x": 20, "y": 10, "width": 200, "height": 100}
    assert opened(given / "out.png")[1] == (200, 100)


def test_find_looks_for_the_window(capsys, tmp_path):
    drawn = draw_layout(tmp_path / "layout.png", (1000, 500), kind="surround")
    draw_picture(tmp_path / "picture.png")

    _, out, _ = run(capsys, tmp_path, "--json", "--window", "find", "--width", "400")

    found = json.loads(out)["window"]
    assert [found[key] for key in ("x", "y", "width", "height")] == [100, 50, 800, 400]
    assert drawn.window.width == 800


@pytest.mark.parametrize(("fit", "corner"), [("contain", [119] * 3), ("cover", None)])
def test_fit_is_cover_or_contain(capsys, tmp_path, fit, corner):
    draw_layout(tmp_path / "layout.png", (1000, 250), kind="empty")
    Image.new("RGB", (400, 400), (10, 200, 30)).save(tmp_path / "picture.png")

    run(capsys, tmp_path, "--fit", fit, "--width", "500")

    assert opened(tmp_path / "out.png")[2][0, 0].tolist() == (corner or [10, 200, 30])


@pytest.mark.parametrize(("ending", "kind"), [("png", "PNG"), ("jpg", "JPEG"), ("webp", "WEBP")])
def test_what_is_written_follows_the_ending(capsys, given, ending, kind):
    run(capsys, given, out=f"out.{ending}")

    assert opened(given / f"out.{ending}")[0] == kind


def test_without_json_a_sentence_is_printed(capsys, given):
    code, out, err = run(capsys, given, "--width", "100")

    assert (code, err) == (0, "")
    assert out.startswith("Written, 100 x 50 px, in ")
    assert out.endswith("It shows 300 x 150 px of the layout from 0, 0.\n")


@pytest.mark.parametrize(
    ("args", "files", "says"),
    [
        (["--width", "0"], {}, "--width takes at least 1 px, and not 0."),
        (["--width", "90000"], {}, "--width 90000 would make a picture of 90000 x 45000 px; at most 16383 px a side"),
        (["--width", "wide"], {}, "Argument --width: invalid int value: 'wide'; see --help."),
        (["--fit", "stretch"], {}, "Argument --fit: invalid choice: 'stretch'"),
        (["--window", "1,2,3"], {}, "--window takes X,Y,W,H, four numbers in pixels, or “find”, and not “1,2,3”."),
        (["--window", "1,2,nan,4"], {}, "--window needs a width and a height of at least 1 px"),
        (["--window", "500,2,30,40"], {}, "--window lies outside the layout, whose canvas is 300 x 150 px"),
        ([], {"out": "out.gif"}, "--out: pictures are written as .png, .jpg or .webp, not as “.gif”."),
        ([], {"out": "no/such/out.png"}, "--out: there is no folder"),
        ([], {"out": "layout.png"}, "--out names the layout itself, which would be lost; give another name."),
        ([], {"layout": "none.png"}, "none.png cannot be opened: no such file or directory."),
        ([], {"backdrop": "none.png"}, "none.png cannot be opened: no such file or directory."),
        ([], {"layout": "text.png"}, "Send a PNG, TIFF, WebP or JPEG"),
    ],
)
def test_what_cannot_be_used_is_one_sentence_and_status_2(capsys, given, args, files, says):
    (given / "text.png").write_text("no picture")
    before = (given / "layout.png").read_bytes()

    code, out, err = run(capsys, given, *args, **files)

    assert (code, out) == (2, "")
    assert says in err
    assert err.count("\n") == 1
    assert (given / "layout.png").read_bytes() == before
    assert not (given / "out.png").exists()
