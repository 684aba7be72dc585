"""The pieces of work that tests.bench.previews times: ours, the floor's parts, and the same work done by other means.

Each takes the case's folder, with layout.png, picture.* and, once made, prepared.png in it. Other means reduce and lay
over as we do (premultiplied, source-over, 4:4:4 JPEG), so that the same is compared.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

WIDTH = 2400
QUALITY = 90


def picture_of(folder: Path) -> Path:
    return next(folder.glob("picture.*"))


def pillow_draft(folder: Path) -> None:
    """The picture at the smallest scale of a JPEG that is enough; another type whole."""
    from PIL import Image

    with Image.open(picture_of(folder)) as image:
        image.draft("RGB", (WIDTH, WIDTH * image.height // image.width))
        image.load()


def opencv_reduced(folder: Path) -> None:
    import cv2

    path = picture_of(folder)
    wide = _width(path)
    step = next((step for step in (8, 4, 2) if wide / step >= WIDTH), 1)
    ways = {1: cv2.IMREAD_COLOR, 2: cv2.IMREAD_REDUCED_COLOR_2, 4: cv2.IMREAD_REDUCED_COLOR_4,
            8: cv2.IMREAD_REDUCED_COLOR_8}  # fmt: skip
    cv2.imread(str(path), ways[step] if path.suffix == ".jpg" else cv2.IMREAD_UNCHANGED)


def vips_shrunk(folder: Path) -> None:
    import pyvips

    path = picture_of(folder)
    step = next((step for step in (8, 4, 2) if _width(path) / step >= WIDTH), 1)
    if path.suffix == ".jpg":
        image = pyvips.Image.new_from_file(str(path), access="sequential", shrink=step)
    else:
        image = pyvips.Image.new_from_file(str(path), access="sequential")
    _drain(image)


def pillow_png(folder: Path) -> None:
    from PIL import Image

    with Image.open(folder / "layout.png") as image:
        image.load()


def opencv_png(folder: Path) -> None:
    import cv2

    cv2.imread(str(folder / "layout.png"), cv2.IMREAD_UNCHANGED)


def vips_png(folder: Path) -> None:
    """Streamed: libvips need not hold the whole canvas."""
    import pyvips

    _drain(pyvips.Image.new_from_file(str(folder / "layout.png"), access="sequential"))


def pillow_jpeg(folder: Path) -> None:
    from PIL import Image

    Image.fromarray(_result(folder)).save(folder / "floor.jpg", quality=QUALITY, subsampling="4:4:4")


def opencv_jpeg(folder: Path) -> None:
    import cv2

    ways = [cv2.IMWRITE_JPEG_QUALITY, QUALITY, cv2.IMWRITE_JPEG_SAMPLING_FACTOR, cv2.IMWRITE_JPEG_SAMPLING_FACTOR_444]
    cv2.imwrite(str(folder / "floor.jpg"), _result(folder), ways)


def vips_jpeg(folder: Path) -> None:
    import pyvips

    image = pyvips.Image.new_from_array(_result(folder))
    image.jpegsave(str(folder / "floor.jpg"), Q=QUALITY, subsample_mode="off")


def plain(folder: Path) -> None:
    """The full-size way: decode both whole, bring the picture to the layout, lay over, reduce, save."""
    from PIL import Image

    with Image.open(folder / "layout.png") as layout, Image.open(picture_of(folder)) as picture:
        layer = layout.convert("RGBA")
        high = round(picture.width * layer.height / layer.width)
        top = (picture.height - high) // 2
        base = picture.crop((0, top, picture.width, top + high)).convert("RGBA").resize(layer.size)
        base.alpha_composite(layer)
        small = base.convert("RGB").resize((WIDTH, round(WIDTH * layer.height / layer.width)))
        small.save(folder / "plain.jpg", quality=QUALITY, subsampling="4:4:4")


def plain_small(folder: Path) -> None:
    """Decode both whole, reduce each, then lay over: what most programs would do."""
    from PIL import Image

    with Image.open(folder / "layout.png") as layout, Image.open(picture_of(folder)) as picture:
        size = (WIDTH, round(WIDTH * layout.height / layout.width))
        layer = layout.convert("RGBA").resize(size)
        high = picture.width * layout.height / layout.width
        top = (picture.height - high) / 2
        base = picture.convert("RGBA").resize(size, box=(0, top, picture.width, top + high))
        base.alpha_composite(layer)
        base.convert("RGB").save(folder / "plain.jpg", quality=QUALITY, subsampling="4:4:4")


def libvips(folder: Path) -> None:
    import pyvips

    layout = pyvips.Image.new_from_file(str(folder / "layout.png"), access="sequential")
    size = (WIDTH, round(WIDTH * layout.height / layout.width))
    layer = layout.premultiply().resize(WIDTH / layout.width, vscale=size[1] / layout.height)
    layer = layer.unpremultiply().cast("uchar").copy(interpretation="srgb")
    base = pyvips.Image.thumbnail(str(picture_of(folder)), size[0], height=size[1], crop="centre", no_rotate=False)
    made = base.colourspace("srgb").extract_band(0, n=3).composite2(layer, "over").extract_band(0, n=3)
    made.jpegsave(str(folder / "libvips.jpg"), Q=QUALITY, subsample_mode="off")


def ours_from_files(folder: Path) -> None:
    from layouts.imaging.composing.preview import render_preview

    render_preview(folder / "layout.png", picture_of(folder), out=folder / "ours.jpg", width=WIDTH)


def ours_prepared(folder: Path) -> None:
    from layouts.imaging.composing.preview import render_preview
    from layouts.imaging.decoding.prepare import PreparedFile

    ready = PreparedFile(folder / "prepared.png")
    render_preview(ready, picture_of(folder), out=folder / "ours.jpg", width=WIDTH)


def ours_twelve(folder: Path) -> None:
    """Twelve placements of the case's own format, each with a crop of the mockup and a layout to load."""
    from layouts.imaging.composing.preview import Job, render_batch
    from layouts.imaging.decoding.files import check_picture
    from layouts.imaging.decoding.prepare import PreparedFile
    from layouts.imaging.geometry import cover_crop

    ready, facts = PreparedFile(folder / "prepared.png"), check_picture(picture_of(folder))
    crops = [cover_crop(facts.width, facts.height, 4, (0.4, at / 40, 0.6, at / 40 + 0.5)) for at in range(12)]
    render_batch(picture_of(folder), [Job(folder / f"{at}.jpg", ready, WIDTH, crop) for at, crop in enumerate(crops)])


# What a shot has: six shapes of the catalogue in two languages, each with a layout of its own.
SHAPES = (4.0, 2.0, 1.0, 2 / 3, 9 / 16, 16 / 9)
LANGUAGES = ("en", "cy")
LONG_SIDE = 2400


def _mixed(folder: Path) -> list[Any]:
    from layouts.imaging.composing.preview import Job
    from layouts.imaging.decoding.prepare import PreparedFile

    jobs = []
    for at, shape in enumerate(SHAPES):
        for language in LANGUAGES:
            ready = PreparedFile(folder / f"prepared-{at}-{language}.png")
            jobs.append(Job(folder / f"mixed-{at}-{language}.jpg", ready, round(LONG_SIDE * min(1.0, shape))))
    return jobs


def ours_mixed(folder: Path) -> None:
    from layouts.imaging.composing.preview import render_batch

    render_batch(picture_of(folder), _mixed(folder))


def ours_mixed_singly(folder: Path) -> None:
    """The same twelve, each as if it were the only one."""
    from layouts.imaging.composing.preview import render_batch

    for job in _mixed(folder):
        render_batch(picture_of(folder), [job])


def ours_prepare(folder: Path) -> None:
    from layouts.imaging.decoding.prepare import prepare_layout

    prepare_layout(folder / "layout.png", folder / "prepared.png")


def ours_inspect(folder: Path) -> None:
    from layouts.imaging.inspecting.inspect import inspect_layout

    inspect_layout(folder / "layout.png", aspect=4, mm=(12_192, 3048))


def ours_decode(folder: Path) -> None:
    """All that inspection must do before it can look: every pixel of the layout, strip by strip."""
    from layouts.imaging.decoding.decode import open_strips

    for _ in open_strips(folder / "layout.png").rows:
        pass


def ours_detail(folder: Path) -> None:
    from layouts.imaging.composing.preview import render_detail

    outs = {"out": folder / "detail.jpg", "out_bare": folder / "detail-bare.jpg"}
    render_detail(folder / "layout.png", picture_of(folder), crop=None, box=(0.1, 0.1, 0.4, 0.9), **outs)


DECODE_PICTURE: dict[str, Callable[[Path], None]] = {
    "Pillow": pillow_draft, "OpenCV": opencv_reduced, "libvips": vips_shrunk,
}  # fmt: skip
DECODE_LAYOUT = {"Pillow": pillow_png, "OpenCV": opencv_png, "libvips": vips_png}
ENCODE = {"Pillow": pillow_jpeg, "OpenCV": opencv_jpeg, "libvips": vips_jpeg}
PARTS = {"decode the picture": DECODE_PICTURE, "decode the layout": DECODE_LAYOUT, "encode": ENCODE}

_NEEDS = {  # loaded before the clock starts, as in a worker that has its libraries
    "ours": "layouts.imaging.inspecting.inspect", "pillow": "PIL.Image", "plain": "PIL.Image", "opencv": "cv2",
    "vips": "pyvips", "libvips": "pyvips",
}  # fmt: skip


def needs(name: str) -> str:
    return _NEEDS[name.split("_")[0]]


def _width(path: Path) -> int:
    from PIL import Image

    with Image.open(path) as image:
        return image.width


def _result(folder: Path) -> Any:
    import numpy as np

    return np.load(folder / "result.npy")


def _drain(image: Any) -> None:
    """Run a libvips pipeline to its end, strip by strip, keeping nothing."""
    image.avg()
