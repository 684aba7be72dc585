"""Protects the reading of PDFs: the trim box is what is drawn, in the right place, and no page takes the reader along.

Boxes: ISO 32000-2, 14.11.2. Encrypted files and boxes are written by pypdf, which shares nothing with the reader.
"""

import numpy as np
import pytest
from pypdf import PdfReader, PdfWriter
from pypdf.generic import RectangleObject

from layouts.imaging.decoding import pdf
from layouts.imaging.decoding.decode import open_strips
from layouts.imaging.decoding.files import sniff
from layouts.imaging.errors import Refused
from tests.hostile.bombs import fine_pattern, page
from tests.layouts.imaging.papers import write_pdf

RED, BLUE = [255, 0, 0, 255], [0, 0, 255, 127]


@pytest.fixture
def written(tmp_path):
    """A page of 144 x 72 pt, red from 0 to 36 and half-clear blue from 72 to 108, changed by a function."""

    def change(do):
        writer = PdfWriter(clone_from=PdfReader(write_pdf(tmp_path / "plain.pdf")))
        do(writer, writer.pages[0])
        writer.write(tmp_path / "a.pdf")
        return tmp_path / "a.pdf"

    return change


def whole(path):
    return np.concatenate(list(open_strips(path).rows))


def boxed(**boxes):
    def do(_, page):
        for name, box in boxes.items():
            setattr(page, name, RectangleObject(box))

    return do


@pytest.mark.parametrize(
    ("boxes", "name", "size", "left", "right"),
    [
        ({}, "media", (600, 300), RED, [0, 0, 0, 0]),
        ({"trimbox": (18, 9, 108, 63)}, "trim", (375, 225), RED, BLUE),
        ({"cropbox": (0, 0, 108, 72)}, "crop", (450, 300), RED, BLUE),
        ({"trimbox": (72, 0, 108, 72), "cropbox": (0, 0, 108, 72)}, "trim", (150, 300), BLUE, BLUE),
        ({"trimbox": (-50, -50, 108, 500)}, "trim", (450, 300), RED, BLUE),  # cut to the media box
        ({"trimbox": (40, 9, 40, 63)}, "media", (600, 300), RED, [0, 0, 0, 0]),  # of no size
        ({"trimbox": (500, 500, 600, 600)}, "media", (600, 300), RED, [0, 0, 0, 0]),  # outside
    ],
)
def test_the_trim_box_is_what_is_drawn(written, boxes, name, size, left, right):
    path = written(boxed(**boxes))

    facts, pixels = sniff(path), whole(path)

    assert (facts.box, (facts.width, facts.height)) == (name, size)
    assert pixels.shape == (size[1], size[0], 4)
    assert [pixels[20, 3].tolist(), pixels[20, -4].tolist()] == [left, right]


def test_a_turned_page_is_trimmed_and_turned(written):
    def do(writer, page):
        boxed(trimbox=(18, 9, 108, 63))(writer, page)
        page.rotate(90)

    pixels = whole(written(do))

    assert pixels.shape == (375, 225, 4)
    assert [pixels[3, 20].tolist(), pixels[-4, 20].tolist()] == [RED, BLUE]


def test_a_locked_pdf_is_refused_and_one_that_opens_without_a_password_is_read(written):
    with pytest.raises(Refused, match="locked with a password"):
        sniff(written(lambda writer, _: writer.encrypt("secret", algorithm="RC4-128")))

    assert sniff(written(lambda writer, _: writer.encrypt("", "owner", algorithm="RC4-128"))).width == 600


def test_pages_are_counted_and_the_first_is_drawn(written):
    def do(writer, _):
        writer.add_blank_page(50, 50)

    path = written(do)

    assert sniff(path).frames == 2
    assert whole(path).shape == (300, 600, 4)


@pytest.mark.parametrize(
    ("limit", "most", "make"),
    [("MEBIBYTES", 100, lambda: page(box=b"0 0 9999 9999")), ("SECONDS", {"look": 20, "draw": 1}, fine_pattern)],
)
def test_a_page_past_its_limits_is_refused_in_words(tmp_path, monkeypatch, limit, most, make):
    monkeypatch.setattr(pdf, limit, most)
    (tmp_path / "a.pdf").write_bytes(make())

    with pytest.raises(Refused, match="more time or memory than one page may take"):
        whole(tmp_path / "a.pdf")
