"""Having files read by a process of its own (`reader.py`), and knowing when one kills it."""

from __future__ import annotations

import contextlib
import json
import subprocess
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

BASE = Path(__file__).resolve().parents[2]
MEBIBYTES, SECONDS = 3072, 170  # what a worker has: portal/site/settings.py


def read_all(paths: Iterable[Path], mebibytes: int = MEBIBYTES, seconds: int = SECONDS) -> Iterator[dict]:
    """What came of each file, in their order; one that kills the reader has "error: killed …", and the next goes on."""
    reader = None
    try:
        for path in paths:
            reader = reader or _start(mebibytes, seconds)
            reader.stdin.write(f"{path}\n")
            reader.stdin.flush()
            line = reader.stdout.readline()
            if line:
                yield json.loads(line)
                continue
            died = f"error: killed by {-_ended(reader)}"
            reader = None
            yield {"path": str(path), "layout": died, "picture": died, "seconds": 0, "peak": 0}
    finally:
        if reader is not None:
            _ended(reader)


def _ended(reader: subprocess.Popen) -> int:
    with contextlib.suppress(BrokenPipeError):
        reader.stdin.close()
    reader.stdout.close()
    return reader.wait(30)


def _start(mebibytes: int, seconds: int) -> subprocess.Popen:
    command = [sys.executable, "-m", "tests.hostile.reader", str(mebibytes), str(seconds)]
    pipe = subprocess.PIPE
    return subprocess.Popen(command, cwd=BASE, stdin=pipe, stdout=pipe, text=True)
