"""The first page of a PDF as a transparent picture, drawn by a process of its own (`pdf_page.py`).

A page has no pixels of its own: it is drawn at 300 ppi, but no longer than `LONGEST` pixels on a side. Its trim box
is what is drawn, where it has one. A PDF is a program, and can ask for any time and memory: neither the web process
nor the worker lends it theirs.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

import numpy as np
from numpy.typing import NDArray

from layouts.imaging.decoding.pdf_page import LONGEST
from layouts.imaging.errors import Refused

__all__ = ["LONGEST", "Page", "canvas", "strips"]

MEBIBYTES = 1536  # of address space; the largest page alone takes 256
SECONDS = {"look": 20, "draw": 90}  # of the processor; what the worker has for a piece of work is more
_PROGRAM = Path(__file__).with_name("pdf_page.py")
_TOO_MUCH = (
    "This PDF asks for more time or memory than one page may take. Flatten or simplify its artwork, or send a PNG."
)


@dataclass(frozen=True)
class Page:
    """The first page in the pixels that it is drawn at, how many pages there are, the box drawn (trim, crop, media)."""

    width: int
    height: int
    pages: int
    box: str


def canvas(path: str | Path) -> Page:
    """Look at the first page without drawing it. Raises Refused, with a sentence."""
    with _opened(path, "look") as child:
        return _head(child)


def strips(path: str | Path, rows: int) -> Iterator[NDArray[np.uint8]]:
    """The first page on a clear ground, from the top: arrays (up to `rows`, width, 4), RGBA with straight alpha."""
    with _opened(path, "draw") as child:
        page = _head(child)
        for top in range(0, page.height, rows):
            n = min(rows, page.height - top)
            raw = _out(child).read(n * page.width * 4)
            if len(raw) < n * page.width * 4:
                raise Refused(_TOO_MUCH)
            yield np.frombuffer(raw, np.uint8).reshape(n, page.width, 4)


class _opened:
    """The process that has the file open; it is gone when the block ends, however that ends."""

    def __init__(self, path: str | Path, what: str) -> None:
        self._command = [sys.executable, "-I", str(_PROGRAM), str(path), what, str(MEBIBYTES), str(SECONDS[what])]

    def __enter__(self) -> subprocess.Popen[bytes]:
        quiet = subprocess.DEVNULL
        self._child = subprocess.Popen(self._command, stdin=quiet, stdout=subprocess.PIPE, stderr=quiet)  # noqa: S603
        return self._child

    def __exit__(self, *_: object) -> None:
        self._child.kill()
        _out(self._child).close()
        self._child.wait()


def _out(child: subprocess.Popen[bytes]) -> IO[bytes]:
    assert child.stdout is not None  # noqa: S101  for the type checker: it was started with a pipe
    return child.stdout


def _head(child: subprocess.Popen[bytes]) -> Page:
    line = _out(child).readline(100_000)
    if not line.endswith(b"\n"):
        raise Refused(_TOO_MUCH)
    facts: dict[str, Any] = json.loads(line)
    if "refused" in facts:
        raise Refused(facts["refused"])
    return Page(**facts)
