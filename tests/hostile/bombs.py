"""Small files that claim, or unfold to, far more than they are; made so that nothing huge is ever built."""

from __future__ import annotations

import io
import struct
import zlib
from collections.abc import Callable
from pathlib import Path

from PIL import Image

READ = ""  # what it is to be: read as it is
CUT = "cannot be read to the end"
OPEN = "cannot be opened"
GIB = 1 << 30


def zeros(size: int, level: int = 9) -> bytes:
    """`size` zero bytes, deflated: about a thousandth of it."""
    packer, parts, block = zlib.compressobj(level), [], bytes(1 << 20)
    for _ in range(size >> 20):
        parts.append(packer.compress(block))
    return b"".join(parts) + packer.compress(bytes(size & (1 << 20) - 1)) + packer.flush()


def chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def png(
    width: int, height: int, data: bytes, *, before: bytes = b"", bits: int = 8, kind: int = 6, lace: int = 0
) -> bytes:
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, bits, kind, 0, 0, lace))
    return b"\x89PNG\r\n\x1a\n" + head + before + chunk(b"IDAT", data) + chunk(b"IEND", b"")


def tiff(tags: dict[int, int | tuple[int, ...]], data: bytes = b"", following: int = 0) -> bytes:
    """Little-endian, one directory of LONGs, `data` at 4096."""
    entries, values, after = b"", b"", 8 + 2 + 12 * len(tags) + 4
    for tag, value in sorted(tags.items()):
        many = value if isinstance(value, tuple) else (value,)
        packed = struct.pack(f"<{len(many)}I", *many)
        place = packed if len(packed) == 4 else struct.pack("<I", after + len(values))
        values += b"" if len(packed) == 4 else packed
        entries += struct.pack("<HHI", tag, 4, len(many)) + place
    head = b"II*\0" + struct.pack("<IH", 8, len(tags)) + entries + struct.pack("<I", following) + values
    return head.ljust(4096, b"\0") + data


def rgba_tiff(width: int, height: int, packing: int, data: bytes, **more: int | tuple[int, ...]) -> bytes:
    tags = {256: width, 257: height, 258: (8, 8, 8, 8), 259: packing, 262: 2, 273: 4096, 277: 4, 278: height,
            279: len(data), 338: 2}  # fmt: skip
    return tiff(tags | {int(tag[1:]): value for tag, value in more.items()}, data)


def psd(
    width: int, height: int, channels: int = 4, *, bits: int = 8, resources: bytes = b"", body: bytes = b""
) -> bytes:
    head = struct.pack(">4sH6xHIIHH", b"8BPS", 1, channels, height, width, bits, 3)
    layers = struct.pack(">Ih", 4, -1) + b"\0\0"
    return head + struct.pack(">II", 0, len(resources)) + resources + struct.pack(">I", len(layers)) + layers + body


def pdf(*objects: bytes, trailer: bytes = b"") -> bytes:
    """The first object is the catalogue."""
    out, starts = b"%PDF-1.7\n", []
    for number, body in enumerate(objects, 1):
        starts.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, body)
    table = b"".join(b"%010d 00000 n \n" % start for start in starts)
    size = len(objects) + 1
    return (
        out
        + b"xref\n0 %d\n0000000000 65535 f \n" % size
        + table
        + (b"trailer<</Size %d/Root 1 0 R%s>>\nstartxref\n%d\n%%%%EOF" % (size, trailer, len(out)))
    )


def page(
    content: bytes = b"", *more: bytes, box: bytes = b"0 0 144 72", keys: bytes = b"", packed: bool = False
) -> bytes:
    """A PDF of one page; further objects are numbered from 5."""
    kind = b"/Filter/FlateDecode" if packed else b""
    stream = b"<</Length %d%s>>stream\n%s\nendstream" % (len(content), kind, content)
    return pdf(
        b"<</Type/Catalog/Pages 2 0 R>>",
        b"<</Type/Pages/Kids[3 0 R]/Count 1>>",
        b"<</Type/Page/Parent 2 0 R/MediaBox[%s]/Contents 4 0 R%s>>" % (box, keys),
        stream,
        *more,
    )


def nested_pages(depth: int) -> bytes:
    nodes = [b"<</Type/Catalog/Pages 2 0 R>>"]
    nodes += [b"<</Type/Pages/Kids[%d 0 R]/Count 1/MediaBox[0 0 144 72]>>" % number for number in range(3, depth + 3)]
    return pdf(*nodes, b"<</Type/Page/Parent %d 0 R>>" % (depth + 1))


def nested_forms(depth: int, width: int) -> bytes:
    """Each form draws the next one `width` times: width ** depth in all."""
    form = b"<</Type/XObject/Subtype/Form/BBox[0 0 144 72]/Resources<</XObject<</F %d 0 R>>>>/Length %d>>stream\n%s\n"
    form += b"endstream"
    draws = b"/F Do " * width
    forms = [form % (number, len(draws), draws) for number in range(6, 5 + depth)]
    last = b"<</Type/XObject/Subtype/Form/BBox[0 0 144 72]/Length 18>>stream\n0 0 9 9 re f\nendstream"
    return page(draws, *forms, last, keys=b"/Resources<</XObject<</F 5 0 R>>>>")


def picture_in_pdf(side: int) -> bytes:
    data = zeros(side * side * 3)
    image = b"<</Type/XObject/Subtype/Image/Width %d/Height %d/BitsPerComponent 8/ColorSpace/DeviceRGB" % (side, side)
    image += b"/Filter/FlateDecode/Length %d>>stream\n%s\nendstream" % (len(data), data)
    return page(b"144 0 0 72 0 0 cm /I Do", image, keys=b"/Resources<</XObject<</I 5 0 R>>>>")


def fine_pattern() -> bytes:
    """A page full of tiles a thousandth of a point wide."""
    tile = (
        b"<</PatternType 1/PaintType 1/TilingType 1/BBox[0 0 .001 .001]/XStep .001/YStep .001/Resources<<>>/Length 34>>"
    )
    tile += b"stream\n1 0 0 rg 0 0 .0005 .0005 re f    \nendstream"
    return page(b"/Pattern cs /P scn 0 0 5000 5000 re f", tile, box=b"0 0 5000 5000",
                keys=b"/Resources<</Pattern<</P 5 0 R>>>>")  # fmt: skip


def jpeg_of_scans(count: int) -> bytes:
    """A progressive JPEG that repeats its last scan."""
    held = io.BytesIO()
    Image.linear_gradient("L").save(held, "JPEG", progressive=True)
    raw = held.getvalue()
    last = raw.rindex(b"\xff\xda")
    return raw[:-2] + raw[last:-2] * count + raw[-2:]


def webp(side: int) -> bytes:
    held = io.BytesIO()
    Image.new("RGBA", (side, side)).save(held, "WEBP", lossless=True, quality=0, method=0)
    return held.getvalue()


def resource(number: int, size: int, data: bytes = b"") -> bytes:
    return struct.pack(">4sHHI", b"8BIM", number, 0, size) + data


# name -> (how it is made, what its sentence must hold; READ: it is read)
BOMBS: dict[str, tuple[Callable[[], bytes], str]] = {
    "png-claims-400-megapixels.png": (lambda: png(20_000, 20_000, b"\0" * 9), "400 megapixels"),
    "png-claims-the-most-that-can-be.png": (lambda: png(2**31 - 1, 2**31 - 1, b"\0" * 9), "megapixels are taken"),
    "png-200-megapixels-of-nothing.png": (lambda: png(20_000, 10_000, zeros(10_000 * 80_001)), READ),
    "png-200-megapixels-16-bit.png": (lambda: png(20_000, 10_000, zeros(10_000 * 160_001), bits=16), READ),
    "png-interlaced-100-megapixels.png": (lambda: png(10_000, 10_000, zeros(420 << 20), lace=1), READ),
    "png-unfolds-to-a-gigabyte-more.png": (lambda: png(300, 150, zeros(GIB)), READ),
    "png-profile-of-a-gigabyte.png": (
        lambda: png(300, 150, zeros(150 * 1201), before=chunk(b"iCCP", b"p\0\0" + zeros(GIB))), OPEN),
    "png-notes-of-a-gigabyte.png": (
        lambda: png(300, 150, zeros(150 * 1201), before=chunk(b"zTXt", b"Comment\0\0" + zeros(GIB))), READ),
    "png-of-a-million-pieces.png": (
        lambda: png(300, 150, zeros(150 * 1201), before=chunk(b"teSt", b"") * 1_000_001), "ends early"),
    "tiff-claims-400-megapixels.tif": (lambda: rgba_tiff(20_000, 20_000, 8, b"x"), "400 megapixels"),
    "tiff-200-megapixels-in-one-strip.tif": (lambda: rgba_tiff(20_000, 10_000, 8, zeros(800_000_000)), READ),
    "tiff-200-megapixels-and-nothing-there.tif": (lambda: rgba_tiff(20_000, 10_000, 8, zeros(100)), CUT),
    "tiff-200-megapixels-lzw-and-nothing-there.tif": (lambda: rgba_tiff(20_000, 10_000, 5, b"\x80\x0b\x60"), CUT),
    "tiff-unfolds-to-a-gigabyte-more.tif": (lambda: rgba_tiff(300, 150, 8, zeros(GIB)), READ),
    "tiff-strip-of-four-gigabytes.tif": (lambda: rgba_tiff(300, 150, 1, b"", t279=2**32 - 1), "ends early"),
    "tiff-tile-of-four-gigapixels.tif": (
        lambda: tiff({256: 300, 257: 150, 258: (8,) * 3, 259: 8, 262: 2, 277: 3, 322: 65_536, 323: 65_536, 324: 4096,
                      325: 9}, b"x" * 9), CUT),
    "tiff-directory-that-points-at-itself.tif": (
        lambda: tiff({256: 300, 257: 150, 258: (8,) * 3, 259: 1, 262: 2, 273: 4096, 277: 3, 278: 150, 279: 135_000},
                     bytes(135_000), following=8), READ),
    "psd-claims-900-megapixels.psd": (lambda: psd(30_000, 30_000, body=b"\0\1"), "900 megapixels"),
    "psd-200-megapixels-and-nothing-there.psd": (lambda: psd(20_000, 10_000, body=b"\0\1" + bytes(80_000)), CUT),
    "psd-200-megapixels-of-nothing.psd": (
        lambda: psd(20_000, 10_000, body=b"\0\1" + struct.pack(">H", 314) * 40_000
                    + (b"\x81\0" * 156 + b"\xe1\0") * 40_000), READ),
    "psd-profile-of-four-gigabytes.psd": (
        lambda: psd(300, 150, resources=resource(1039, 2**32 - 1), body=b"\0\0" + bytes(300 * 150 * 4)), READ),
    "psd-resources-past-the-end.psd": (
        lambda: psd(300, 150)[:30] + struct.pack(">I", 2**32 - 1) + resource(1000, 9), "ends early"),
    "pdf-of-a-gigabyte-of-commands.pdf": (lambda: page(zeros(GIB), packed=True), "more time or memory"),
    "pdf-picture-of-900-megapixels.pdf": (lambda: picture_in_pdf(30_000), READ),
    "pdf-forms-within-forms.pdf": (lambda: nested_forms(12, 10), "more time or memory"),
    "pdf-form-that-draws-itself.pdf": (
        lambda: page(b"/F Do", b"<</Type/XObject/Subtype/Form/BBox[0 0 9 9]/Resources<</XObject<</F 5 0 R>>>>"
                     b"/Length 5>>stream\n/F Do\nendstream", keys=b"/Resources<</XObject<</F 5 0 R>>>>"), READ),
    "pdf-pages-ten-thousand-deep.pdf": (lambda: nested_pages(10_000), "first page of this PDF is damaged"),
    "pdf-pages-that-are-their-own-parent.pdf": (
        lambda: pdf(b"<</Type/Catalog/Pages 2 0 R>>", b"<</Type/Pages/Kids[2 0 R]/Count 9>>"), "PDF"),
    "pdf-tiles-a-thousandth-wide.pdf": (fine_pattern, READ),
    "pdf-page-of-a-million-metres.pdf": (lambda: page(box=b"0 0 3e9 3e9"), READ),
    "pdf-page-of-a-millionth-of-a-point.pdf": (lambda: page(box=b"0 0 .000001 .000001"), "px"),
    "pdf-page-as-wide-as-a-hair.pdf": (lambda: page(box=b"0 0 .01 99999"), "px"),
    "pdf-page-that-is-no-number.pdf": (lambda: page(box=b"nan nan inf inf"), READ),
    "jpeg-of-twenty-thousand-scans.jpg": (lambda: jpeg_of_scans(20_000), "more passes"),
    "webp-of-256-megapixels.webp": (lambda: webp(16_000), "at most 100 megapixels"),
    "webp-of-100-megapixels.webp": (lambda: webp(10_000), READ),
}  # fmt: skip


# Pictures that are as large as may be, and are read: seconds each. `python -m tests.hostile.fuzz --bombs` reads all.
LARGE = {
    "png-200-megapixels-of-nothing.png", "png-200-megapixels-16-bit.png", "png-interlaced-100-megapixels.png",
    "tiff-200-megapixels-in-one-strip.tif", "psd-200-megapixels-of-nothing.psd", "webp-of-100-megapixels.webp",
}  # fmt: skip


def write_bomb(folder: Path, name: str) -> Path:
    path = folder / name
    path.write_bytes(BOMBS[name][0]())
    return path
