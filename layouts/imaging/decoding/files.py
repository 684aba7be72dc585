"""What a file is, from its bytes: type, size, colour. Reads heads only and decodes no pixel."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageFile, UnidentifiedImageError

from layouts.imaging.decoding import pdf, png, psd, tiff, tiff_rows
from layouts.imaging.decoding.profiles import SRGB, profile_name
from layouts.imaging.decoding.wholeness import check_whole
from layouts.imaging.errors import BROKEN, Refused

MAX_BYTES = 512 * 1024**2
MAX_PIXELS = 260_000_000
MAX_SIDE = 65_535
MIN_SIDE = 16
MAX_WEBP_PIXELS = 100_000_000  # its decoder holds four copies of a picture
LONGEST_TO_SHORTEST = 100  # no poster is longer; 1 x 100000 pixels is a slip or an attack

# The limits here replace Pillow's own guard, which would only warn.
Image.MAX_IMAGE_PIXELS = None

_KINDS = {"PNG": "png", "JPEG": "jpeg", "WEBP": "webp"}
_EXTRA_BITS = {"I;16": 16, "I;16B": 16, "I;16L": 16, "I": 32, "F": 32, "1": 1}
_BEGINNINGS = (b"\x89PNG", b"\xff\xd8\xff", *tiff.BEGINNINGS, b"RIFF")
_CANNOT_OPEN = "This file is damaged or was cut off on the way: it cannot be opened. Send it again."
_OTHERS = (
    (b"GIF8", "a GIF"), (b"BM", "a BMP"), (b"PK\x03\x04", "a ZIP or office file"), (b"8BPB", "a PSB"),
    (b"\x00\x00\x00\x0cjP", "a JPEG 2000"), (b"\xff\x0a", "a JPEG XL"), (b"%!PS", "PostScript"),
    (b"\x1f\x8b", "a gzip archive"), (b"Rar!", "a RAR archive"), (b"7z\xbc\xaf", "a 7z archive"),
)  # fmt: skip


@dataclass(frozen=True)
class FileFacts:
    """What the head of a picture file says.

    `width` and `height` are in pixels of the upright picture (`orientation`, 1 to 8 as in EXIF, has been applied); of a
    PDF, the pixels that its first page is drawn at. `mode` is Pillow's ("RGB", "RGBA", "L", "P", "CMYK" ...), `bits`
    those of one channel. `profile_name` is None where there is no profile, or none that can be read. `frames` counts
    the pages of a PDF or TIFF, of which the first is taken; `box` is the page box of a PDF that is drawn: "trim",
    "crop" or "media".
    """

    type: str
    width: int
    height: int
    mode: str
    bits: int
    has_alpha: bool
    profile_name: str | None
    profile_bytes: bytes | None
    orientation: int
    frames: int
    bytes: int
    box: str = ""

    @property
    def aspect(self) -> float:
        return self.width / self.height

    @property
    def cmyk(self) -> bool:
        return self.mode.startswith("CMYK")


def sniff(path: str | Path) -> FileFacts:
    """Tell what a file is. Raises Refused for what is empty, too large, animated, damaged or of no accepted type."""
    size = Path(path).stat().st_size
    if size == 0:
        raise Refused("This file is empty: 0 bytes arrived. Send it again.")
    if size > MAX_BYTES:
        most = f"at most {MAX_BYTES // 1024**2} MiB are taken"
        raise Refused(f"This file has {size / 1024**2:.0f} MiB; {most}. Send it smaller.")
    with open(path, "rb") as file:
        head = file.read(1024)
    if head[:4] == b"8BPS":
        facts = _psd(path, size)
    elif b"%PDF-" in head and not head.startswith(_BEGINNINGS):  # what begins as a picture is shown as one
        facts = _pdf(path, size)
    elif head.startswith(tiff.BEGINNINGS):
        facts = _tiff(path, size)
    else:
        facts = _raster(path, size, head)
    _check_size(facts)
    check_whole(path, facts.type)
    return facts


def check_layout(path: str | Path) -> FileFacts:
    """The facts of a file that can be a layout; Refused, with a sentence for the designer, for any other."""
    return sniff(path)


def check_picture(path: str | Path) -> FileFacts:
    """The facts of a file that can be a mockup or a frame; Refused, with a sentence for who sent it, for any other."""
    facts = sniff(path)
    if facts.type in ("pdf", "psd"):
        raise Refused(f"A picture cannot be a {facts.type.upper()}. Export it as JPEG, TIFF, PNG or WebP.")
    return facts


def _pdf(path: str | Path, size: int) -> FileFacts:
    page = pdf.canvas(path)
    return FileFacts("pdf", page.width, page.height, "RGBA", 8, True, None, None, 1, page.pages, size, page.box)


def _psd(path: str | Path, size: int) -> FileFacts:
    head = psd.read_head(path)
    mode = head.space + ("A" if head.has_alpha else "")
    name = profile_name(head.profile) if head.profile else None
    profile = head.profile if name else None
    return FileFacts("psd", head.width, head.height, mode, head.bits, head.has_alpha, name, profile, 1, 1, size)


def _tiff(path: str | Path, size: int) -> FileFacts:
    try:
        head = tiff.read_head(path)
        layout = tiff_rows.layout_of(head)
        name = profile_name(head.profile) if head.profile else None
        profile = head.profile if name else None
        orientation = head.one(tiff.ORIENTATION, 1)
        orientation = orientation if orientation in range(1, 9) else 1
        if layout is None:
            with tiff.open_head(head) as image:  # upright already
                (width, height), mode, bits = image.size, image.mode, max(head.all(tiff.BITS), default=1)
                alpha = mode in ("RGBA", "LA", "PA", "RGBa", "La")
        else:
            width, height = layout.width, layout.height
            if orientation >= 5:
                width, height = height, width
            mode, bits, alpha = layout.mode, layout.bits, layout.alpha is not None
        return FileFacts("tiff", width, height, mode, bits, alpha, name, profile, orientation, head.pages, size)
    except Refused:
        raise
    except BROKEN as error:
        raise Refused(_CANNOT_OPEN) from error


def _raster(path: str | Path, size: int, head: bytes) -> FileFacts:
    try:
        with _head(path, head) as image:
            kind = _KINDS["JPEG" if image.format == "MPO" else str(image.format)]
            animated = kind in ("png", "webp") and getattr(image, "is_animated", False)
            if animated:
                raise Refused("This file is animated. A layout or picture stands still: send a single frame.")
            orientation = orientation_of(image)
            width, height = image.size if orientation < 5 else image.size[::-1]
            raw = image.info.get("icc_profile") or None
            name = profile_name(raw) if raw else None
            if name is None and "srgb" in image.info:
                name = SRGB
            alpha = image.mode in ("RGBA", "LA", "PA", "RGBa", "La") or "transparency" in image.info
            bits = _bits(image)
            return FileFacts(
                kind, width, height, image.mode, bits, alpha, name, raw if name else None, orientation, 1, size
            )
    except Refused:
        raise
    except BROKEN as error:
        if isinstance(error, UnidentifiedImageError) and not head.startswith(_BEGINNINGS):
            raise Refused(_not_accepted(head)) from None
        raise Refused(_CANNOT_OPEN) from error


def _head(path: str | Path, head: bytes) -> ImageFile.ImageFile:
    return png.open_head(path) if head.startswith(png.SIGNATURE) else Image.open(path, formats=list(_KINDS))


def orientation_of(image: Image.Image) -> int:
    """1 to 8, as in EXIF; 1 where nothing, or nothing readable, is said."""
    try:
        if image.format == "PNG":
            exif = Image.Exif()
            exif.load(image.info.get("exif", b""))  # image.getexif() would decode the pixels to look behind them
        else:
            exif = image.getexif()
        found = exif.get(0x0112, 1)
    except BROKEN:
        return 1
    return int(found) if found in range(1, 9) else 1


def _bits(image: ImageFile.ImageFile) -> int:
    if "bits" in image.info:
        return int(image.info["bits"])
    args = image.tile[0].args if image.tile else ""
    if "16" in str(args[0] if isinstance(args, tuple) else args):
        return 16
    return _EXTRA_BITS.get(image.mode, 8)


def _check_size(facts: FileFacts) -> None:
    width, height = facts.width, facts.height
    if width * height > MAX_PIXELS:
        raise Refused(
            f"This file has {width} x {height} px, which is {width * height / 1e6:.0f} megapixels; at most "
            f"{MAX_PIXELS // 1_000_000} megapixels are taken. Export it smaller."
        )
    if facts.type == "webp" and width * height > MAX_WEBP_PIXELS:
        raise Refused(
            f"This WebP has {width} x {height} px; of this type at most {MAX_WEBP_PIXELS // 1_000_000} megapixels are "
            "taken. Send it as PNG or TIFF."
        )
    if min(width, height) < MIN_SIDE:
        raise Refused(f"This file has {width} x {height} px: too small to be seen. Export it at its ordered size.")
    if max(width, height) > min(MAX_SIDE, LONGEST_TO_SHORTEST * min(width, height)):
        raise Refused(f"This file has {width} x {height} px, a strip that no poster has. Export the artboard itself.")


def _not_accepted(head: bytes) -> str:
    if b"<svg" in head.lower() or (head.lstrip()[:5].lower() == b"<?xml" and b"svg" in head.lower()):
        return "This is an SVG, which is not taken: it draws differently on every machine. Export it as PNG or PDF."
    if head[4:8] == b"ftyp":
        what = "a HEIC, AVIF or video file"
    else:
        what = next((name for start, name in _OTHERS if head.startswith(start)), "")
    return (
        f"This is {what}, which is not taken. " if what else "This is no picture file that can be read here. "
    ) + "Send a PNG, TIFF, WebP or JPEG; layouts may also be PDF or PSD."
