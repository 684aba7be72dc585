"""Mockups as they are sent, drawn small; what arrives is the bytes of a real file."""

import io

import numpy as np
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image


def drawn(size=(600, 400), *, seed=0) -> Image.Image:
    """A ramp across and down, so that every part of it can be told from its colour: red is x, green is y."""
    wide, high = size
    across = np.linspace(0, 255, wide)[None, :].repeat(high, 0)
    down = np.linspace(0, 255, high)[:, None].repeat(wide, 1)
    pixels = np.stack([across, down, np.full((high, wide), seed)], -1)
    return Image.fromarray(pixels.round().astype(np.uint8))


def upload(name="comp.png", kind="PNG", data=None, **drawing) -> SimpleUploadedFile:
    """A file as it arrives: drawn, unless its bytes are given."""
    if data is None:
        held = io.BytesIO()
        drawn(**drawing).save(held, kind, quality=95)
        data = held.getvalue()
    return SimpleUploadedFile(name, data)
