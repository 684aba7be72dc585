"""Protects against damaged and hostile files: whatever the bytes, there is a result or a sentence, no other error."""

import random

import pytest
from PIL import Image

from layouts.imaging.decoding.reading import read_picture
from layouts.imaging.errors import Refused
from layouts.imaging.inspecting.inspect import inspect_layout
from tests.layouts.imaging.drawing import draw_layout, draw_picture
from tests.layouts.imaging.papers import write_pdf, write_psd


def spoilt(raw, rng):
    """Some bytes changed, more often near the head, and sometimes the end cut off."""
    raw = bytearray(raw)
    for _ in range(rng.choice([1, 2, 5, 20])):
        raw[rng.randrange(min(len(raw), rng.choice([64, 400, len(raw)])))] = rng.randrange(256)
    return raw[: rng.randrange(1, len(raw))] if rng.random() < 0.3 else raw


@pytest.mark.filterwarnings("ignore::UserWarning")  # Pillow's, of damaged TIFF tags
@pytest.mark.parametrize("name", ["a.png", "a.jpg", "a.tif", "a.webp", "a.pdf", "a.psd"])
def test_a_spoilt_file_is_read_or_refused(tmp_path, name):
    path, rng = tmp_path / name, random.Random(name)
    if name == "a.pdf":
        write_pdf(path)
    elif name == "a.psd":
        write_psd(path, Image.new("RGBA", (80, 40), (9, 90, 200, 128)))
    else:
        (draw_picture if name == "a.jpg" else draw_layout)(path, (120, 60))
    raw, outcomes = path.read_bytes(), set()

    for _ in range(15 if name == "a.pdf" else 60):  # each PDF is a process of its own
        path.write_bytes(spoilt(raw, rng))
        for read in (inspect_layout, read_picture):
            try:
                read(path)
                outcomes.add("read")
            except Refused as refusal:
                outcomes.add(f"refused{refusal.sentence[-1]}")

    assert "refused." in outcomes
    assert outcomes <= {"read", "refused."}
