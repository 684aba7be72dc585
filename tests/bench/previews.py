"""How long previews take, and in how much memory: `python -m tests.bench.previews [--layout W H] [--picture W H]`.

Draws a layout and a picture once, then does each piece of work several times, every time in a process of its own, and
prints the median seconds (without starting Python), those of CPU on all cores, and the most memory held and addressed.
"""

from __future__ import annotations

import argparse
import json
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tests.layouts.imaging.drawing import draw_layout, draw_picture

ROUNDS = 3


def prepare(layout: Path, picture: Path, work: Path) -> None:
    from layouts.imaging.prepare import prepare_layout

    prepare_layout(layout, work / "prepared.png")


def inspect(layout: Path, picture: Path, work: Path) -> None:
    from layouts.imaging.inspect import inspect_layout
    from layouts.imaging.prepare import load_prepared

    inspect_layout(load_prepared(work / "prepared.png"), aspect=4, mm=(12_192, 3048))


def preview_prepared(layout: Path, picture: Path, work: Path) -> None:
    from layouts.imaging.prepare import PreparedFile
    from layouts.imaging.preview import render_preview

    render_preview(PreparedFile(work / "prepared.png"), picture, out=work / "preview.jpg")


def preview_files(layout: Path, picture: Path, work: Path) -> None:
    from layouts.imaging.preview import render_preview

    render_preview(layout, picture, out=work / "bare-files.jpg")


def from_upload(layout: Path, picture: Path, work: Path) -> None:
    """All that follows an upload: prepare, inspect, preview, and the layer for the picture stage."""
    from layouts.imaging.inspect import inspect_layout
    from layouts.imaging.prepare import prepare_layout
    from layouts.imaging.preview import render_layer, render_preview

    prepared = prepare_layout(layout, work / "again.png")
    inspect_layout(prepared, aspect=4)
    render_preview(prepared, picture, out=work / "upload.webp")
    render_layer(prepared, work / "layer.webp")


def batch(layout: Path, picture: Path, work: Path) -> None:
    from layouts.imaging.prepare import PreparedFile
    from layouts.imaging.preview import Job, render_batch

    ready = PreparedFile(work / "prepared.png")
    render_batch(picture, [Job(work / f"{at}.jpg", ready) for at in range(12)])


def detail(layout: Path, picture: Path, work: Path) -> None:
    from layouts.imaging.preview import render_detail

    box = (0.1, 0.1, 0.4, 0.9)
    render_detail(layout, picture, crop=None, box=box, out=work / "detail.jpg", out_bare=work / "detail-bare.jpg")


STEPS = {
    "prepare (decode once, write the reduced form)": prepare,
    "inspect, from prepared": inspect,
    "preview 2400 wide, from prepared": preview_prepared,
    "preview 2400 wide, from the bare files": preview_files,
    "upload to preview: prepare, inspect, preview, layer": from_upload,
    "12 previews over one picture, from prepared": batch,
    "detail, pixel for pixel, from the bare files": detail,
}


def child(step: str, layout: str, picture: str, work: str) -> None:
    from layouts.imaging import inspect as _inspect  # noqa: F401  the worker has its libraries loaded
    from layouts.imaging.preview import peak_mib

    begun, cpu = time.perf_counter(), time.process_time()
    STEPS[step](Path(layout), Path(picture), Path(work))
    status = Path("/proc/self/status")
    address = next((line.split()[1] for line in status.read_text().splitlines() if "VmPeak" in line), "0")
    seconds = (time.perf_counter() - begun, time.process_time() - cpu)
    print(json.dumps([*seconds, peak_mib(), int(address) / 1024]))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--layout", nargs=2, type=int, default=[12_192, 3048], metavar=("W", "H"))
    parser.add_argument("--picture", nargs=2, type=int, default=[6000, 4000], metavar=("W", "H"))
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        work = Path(folder)
        layout = draw_layout(work / "layout.png", tuple(asked.layout), kind="gradient", compress_level=6).path
        picture = draw_picture(work / "picture.jpg", tuple(asked.picture), quality=92)
        print(f"layout {asked.layout[0]} x {asked.layout[1]} PNG, picture {asked.picture[0]} x {asked.picture[1]} JPEG")
        print(f"{'':52} {'seconds':>8} {'of CPU':>7} {'peak MiB':>9} {'address MiB':>12}")
        for step in STEPS:
            command = [sys.executable, "-m", "tests.bench.previews", "--child", step, str(layout), str(picture), folder]
            runs = [json.loads(subprocess.run(command, capture_output=True, check=True).stdout) for _ in range(ROUNDS)]
            seconds, cpu, peak, address = (statistics.median(column) for column in zip(*runs, strict=True))
            print(f"{step:52} {seconds:8.2f} {cpu:7.2f} {peak:9.0f} {address:12.0f}")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--child"]:
        child(*sys.argv[2:6])
    else:
        main()
