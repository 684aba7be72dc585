"""Layout files as designers send them, drawn small; what arrives is the bytes of a real file."""

import io

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, ImageDraw


def drawn(size=(1440, 720), *, words="Warm, at last.", mode="RGBA", surround=0, seed=0) -> Image.Image:
    """Type and a band on a clear ground; with a `surround` of so many grey pixels on each edge."""
    wide, high = size
    ground = (128, 128, 128, 255) if surround else (0, 0, 0, 0)
    image = Image.new("RGBA", (wide + 2 * surround, high + 2 * surround), ground)
    window = Image.new("RGBA", size, (0, 0, 0, 0))
    draw = ImageDraw.Draw(window)
    draw.text((wide * 0.06, high * 0.1), words, fill=(255, 255, 255, 255), font_size=min(wide, high) // 6)
    draw.rectangle((wide * 0.06, high * 0.8, wide * 0.3 + seed, high * 0.84), fill=(20, 20, 20, 255))
    image.paste(window, (surround, surround))
    return image.convert(mode)


def encoded(image: Image.Image, kind="PNG", **options) -> bytes:
    held = io.BytesIO()
    image.save(held, kind, **options)
    return held.getvalue()


def upload(name: str, data: bytes | None = None, **drawing) -> SimpleUploadedFile:
    """A file as it arrives: drawn, unless its bytes are given."""
    return SimpleUploadedFile(name, encoded(drawn(**drawing)) if data is None else data)
