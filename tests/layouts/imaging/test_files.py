"""Protects what is accepted: a file is told by its bytes, and a refusal says what is wrong and what to do."""

import io
import struct
import zlib

import pytest
from PIL import Image, ImageCms

from layouts.imaging.decoding import files
from layouts.imaging.decoding.files import check_layout, check_picture, sniff
from layouts.imaging.errors import Refused
from tests.layouts.imaging.drawing import draw_layout, draw_picture
from tests.layouts.imaging.papers import write_pdf, write_psd

SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def png_head(width, height):
    """A PNG of the given size with no rows to speak of."""

    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 6, 0, 0, 0)
    parts = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 100)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + parts


@pytest.mark.parametrize(
    ("ending", "kind", "mode", "alpha"),
    [
        ("png", "png", "RGBA", True),
        ("jpg", "jpeg", "RGB", False),
        ("tif", "tiff", "RGBA", True),
        ("webp", "webp", "RGBA", True),
    ],
)
def test_sniff_tells_type_and_size_from_the_bytes(tmp_path, ending, kind, mode, alpha):
    image = Image.new("RGBA", (120, 60), (200, 30, 30, 128))
    buffer = io.BytesIO()
    image.convert(mode).save(
        buffer, format={"jpg": "JPEG", "tif": "TIFF"}.get(ending, ending.upper()), icc_profile=SRGB
    )
    path = tmp_path / "misnamed.gif"
    path.write_bytes(buffer.getvalue())

    facts = sniff(path)

    assert (facts.type, facts.width, facts.height, facts.mode, facts.bits) == (kind, 120, 60, mode, 8)
    assert facts.has_alpha is alpha
    assert facts.profile_name == "sRGB built-in"
    assert facts.bytes == len(buffer.getvalue())


def test_sniff_gives_the_size_of_the_upright_picture(tmp_path):
    exif = Image.Exif()
    exif[0x0112] = 6
    path = draw_picture(tmp_path / "turned.jpg", (300, 200), exif=exif)

    facts = sniff(path)

    assert (facts.width, facts.height, facts.orientation) == (200, 300, 6)


def test_sniff_reads_pdf_and_psd(tmp_path):
    pdf = sniff(write_pdf(tmp_path / "a.pdf", (144, 72)))
    psd = sniff(write_psd(tmp_path / "a.psd", Image.new("RGBA", (90, 40), (1, 2, 3, 128))))

    assert (pdf.type, pdf.width, pdf.height, pdf.has_alpha, pdf.frames) == ("pdf", 600, 300, True, 1)
    assert (psd.type, psd.width, psd.height, psd.mode, psd.has_alpha) == ("psd", 90, 40, "RGBA", True)


def test_a_png_with_an_srgb_chunk_has_a_profile_by_name(tmp_path):
    path = tmp_path / "a.png"
    Image.new("RGBA", (50, 50)).save(path)
    raw = path.read_bytes()
    chunk = b"sRGB\0"
    path.write_bytes(raw[:33] + struct.pack(">I", 1) + chunk + struct.pack(">I", zlib.crc32(chunk)) + raw[33:])

    assert sniff(path).profile_name == "sRGB"


def test_sixteen_bits_and_cmyk_are_seen(tmp_path):
    Image.new("I;16", (40, 40)).save(tmp_path / "a.png")
    Image.new("CMYK", (40, 40)).save(tmp_path / "b.tif")

    assert sniff(tmp_path / "a.png").bits == 16
    assert sniff(tmp_path / "b.tif").cmyk


SVG = b'<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"/>'


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "This file is empty: 0 bytes arrived. Send it again."),
        (SVG, "This is an SVG, which is not taken: it draws differently on every machine. Export it as PNG or PDF."),
        (b"just words", "This is no picture file that can be read here."),
        (b"PK\x03\x04rest", "This is a ZIP or office file, which is not taken."),
        (b"\0\0\0\x18ftypheic" + b"\0" * 20, "This is a HEIC, AVIF or video file, which is not taken."),
        (b"%PDF-1.7 and nothing more", "This PDF cannot be opened: it is damaged or was cut off on the way."),
        (b"8BPS\0\1", "This PSD ends early: it was cut off on the way. Send it again."),
        (b"\x89PNG\r\n\x1a\n", "This file is damaged or was cut off on the way: it cannot be opened."),
        (png_head(1, 100_000), "This file has 1 x 100000 px: too small to be seen."),
        (png_head(20, 60_000), "This file has 20 x 60000 px, a strip that no poster has."),
        (png_head(20_000, 20_000), "This file has 20000 x 20000 px, which is 400 megapixels; at most 260 megapixels"),
    ],
)
def test_what_cannot_be_used_is_refused_with_a_sentence(tmp_path, content, says):
    path = tmp_path / "layout.png"
    path.write_bytes(content)

    with pytest.raises(Refused) as refusal:
        check_layout(path)

    assert refusal.value.sentence.startswith(says)


def test_more_bytes_than_the_limit_are_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(files, "MAX_BYTES", 1024**2)
    path = tmp_path / "a.png"
    path.write_bytes(b"\0" * (3 * 1024**2))

    with pytest.raises(Refused, match="This file has 3 MiB; at most 1 MiB are taken"):
        sniff(path)


@pytest.mark.parametrize("ending", ["png", "webp"])
def test_animated_files_are_refused(tmp_path, ending):
    frames = [Image.new("RGBA", (40, 40), colour) for colour in ("red", "blue")]
    frames[0].save(tmp_path / f"a.{ending}", save_all=True, append_images=frames[1:])

    with pytest.raises(Refused, match="This file is animated"):
        check_layout(tmp_path / f"a.{ending}")


def test_a_gif_is_refused_by_name(tmp_path):
    Image.new("RGB", (40, 40)).save(tmp_path / "a.png", format="GIF")

    with pytest.raises(Refused, match="This is a GIF, which is not taken"):
        check_layout(tmp_path / "a.png")


@pytest.mark.parametrize("ending", ["png", "jpg", "tif", "webp"])
@pytest.mark.parametrize("share", [0.3, 0.97])
def test_a_file_cut_off_on_the_way_is_refused_without_decoding_it(tmp_path, ending, share):
    path = draw_picture(tmp_path / f"a.{ending}", (400, 300))
    whole = path.read_bytes()
    path.write_bytes(whole[: int(len(whole) * share)])

    with pytest.raises(Refused, match=r"cut off|damaged"):
        check_picture(path)


@pytest.mark.parametrize("write", [write_pdf, write_psd])
def test_a_picture_cannot_be_a_layout_document(tmp_path, write):
    path = write(tmp_path / "a.bin")

    with pytest.raises(Refused, match="A picture cannot be a P"):
        check_picture(path)


def test_sniff_decodes_no_pixel(tmp_path, monkeypatch):
    drawn = draw_layout(tmp_path / "a.png", (400, 200))
    monkeypatch.setattr("PIL.ImageFile.ImageFile.load", lambda *_: pytest.fail("pixels were decoded"))

    assert sniff(drawn.path).width == 400
