"""The demo with all its work done, made once for every file that asks for it within one check, and copied to each."""

import fcntl
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.drawn import KEPT, layouts
from tests.journey.database import wait_until_done
from tests.services import Portal, backend, portal


@contextmanager
def demo_portal(folder: Path) -> Iterator[Portal]:
    """A portal that runs on the demo, with a database and a store of its own in `folder`."""
    with backend("embedded", folder) as env:
        kept = os.environ.get(KEPT)
        if kept:
            shutil.copytree(_made(Path(kept)), env["BRIEFLOCK_DATA"])
        with portal(folder, env) as site:
            if not kept:
                _load(site)
            yield site


def _made(kept: Path) -> Path:
    """The demo's data, made by whoever comes first while the others wait."""
    data = kept / "demo"
    with (kept / "demo.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not data.exists():
            making = kept / "making"
            shutil.rmtree(making, ignore_errors=True)  # a maker that failed
            (making / "data").mkdir(parents=True)
            (making / "data/demo-layouts").symlink_to(layouts(making))
            with backend("embedded", making) as env, portal(making, env) as site:
                _load(site)
            (making / "data").rename(data)
    return data


def _load(site: Portal) -> None:
    site.manage("load_demo")
    wait_until_done(site.env)
