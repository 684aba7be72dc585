"""A process that reads files as a worker does, under its limits: paths on standard input, a line of JSON for each.

    python -m tests.hostile.reader MEBIBYTES SECONDS

{"path", "layout", "picture", "seconds", "peak"}: what came of it as a layout and as a picture ("read", "refused:
sentence", "limit: …", "error: …"), processor seconds, and the most memory so far in MiB, of it and its children.
"""

from __future__ import annotations

import json
import resource
import signal
import sys
import time
import warnings
from collections.abc import Callable
from pathlib import Path

from layouts.imaging.composing.preview import peak_mib
from layouts.imaging.decoding.prepare import prepare_layout
from layouts.imaging.decoding.reading import open_picture
from layouts.imaging.errors import Refused
from layouts.imaging.inspecting.inspect import inspect_layout


class TooLong(Exception):
    """What the worker's time limit is to a worker."""


def main(mebibytes: int, seconds: int) -> None:
    warnings.simplefilter("ignore")  # Pillow's, of damaged tags
    resource.setrlimit(resource.RLIMIT_AS, (mebibytes << 20,) * 2)
    signal.signal(signal.SIGALRM, _too_long)
    for line in sys.stdin:
        path = line.rstrip("\n")
        begun = time.process_time() + _of_children().ru_utime
        outcome = {
            "path": path,
            "layout": _tried(_as_layout, path, seconds),
            "picture": _tried(open_picture, path, seconds),
            "seconds": round(time.process_time() + _of_children().ru_utime - begun, 2),
            "peak": round(max(peak_mib(), _of_children().ru_maxrss / 1024)),
        }
        print(json.dumps(outcome), flush=True)


def _as_layout(path: str) -> None:
    inspect_layout(prepare_layout(path))


def _tried(work: Callable[[str], object], path: str, seconds: int) -> str:
    signal.alarm(seconds)
    try:
        work(path)
    except Refused as reason:
        return f"refused: {reason.sentence}"
    except (MemoryError, TooLong) as limit:
        return f"limit: {type(limit).__name__}"
    except Exception as error:  # noqa: BLE001  what this is here to find
        return f"error: {type(error).__name__}: {error}"
    finally:
        signal.alarm(0)
    return "read"


def _too_long(*_: object) -> None:
    raise TooLong


def _of_children() -> resource.struct_rusage:
    return resource.getrusage(resource.RUSAGE_CHILDREN)


if __name__ == "__main__":
    Path("/proc/self/oom_score_adj").write_text("1000")
    main(int(sys.argv[1]), int(sys.argv[2]))
