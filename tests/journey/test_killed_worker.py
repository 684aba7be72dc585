"""Protects work from a worker's death: killed in the middle of a file, nothing is lost and nothing is made twice."""

import os
import signal
import sqlite3
import time
from pathlib import Path

import pytest

from tests.journey.database import Row, work
from tests.journey.files import MOCKUPS
from tests.services import BASE, Portal, backend, portal, running, wait_for, worker_command

pytestmark = pytest.mark.services
# The first file that each kind of work puts into the store.
FIRST = {"layouts.copies": "480.jpg", "layouts.prepare": "prepared.png", "layouts.preview": "composed.jpg"}
HALF = b"half"

# A mockup and two layouts at true size, sent as people send them.
SEND = """
from pathlib import Path
from django.core.files import File
from layouts.formats import actions as formats, catalogue
from layouts.overlays import actions as overlays
from layouts.pictures import actions as pictures
from portal.brief import actions as brief
from portal.models import User
from shots.shot import actions as shots
user = User.objects.create_user("keeper@example.com", "Keeper", "a long password", starts_campaigns=True)
by = brief.start_campaign(user, title="T", code="T-1", client="C", languages=["en-GB", "cy"])
shot = shots.add_shot(by, title="One")
formats.add_formats(by, formats=catalogue.chosen(["96-sheet"]))
with open({mockup!r}, "rb") as picture:
    pictures.add_mockup(by, shot.key, file=File(picture, name="mockup.jpg"))
for placement, path in zip(shot.placements.order_by("language"), {layouts!r}):
    with open(path, "rb") as layout:
        overlays.receive_files(by, files=[File(layout, name="layout.png")], placement=placement.key)
"""


def kill_at_work(site: Portal, kind: str) -> Row:
    """Kill the worker and its children while it has hold of work of this kind; that work's row.

    It is stopped first, so that what is seen is what is killed.
    """
    deadline = time.monotonic() + 120
    while time.monotonic() < deadline:
        os.killpg(site.worker.pid, signal.SIGCONT)
        time.sleep(0.02)
        os.killpg(site.worker.pid, signal.SIGSTOP)
        try:
            held = [row for row in work(site.env, patience=0.1) if row.state == "working" and row.kind == kind]
        except sqlite3.OperationalError:
            # It was stopped with the whole database in its hand, as when a last connection closes: a moment too early.
            continue
        if held:
            os.killpg(site.worker.pid, signal.SIGKILL)
            site.worker.wait(10)
            return held[0]
    raise AssertionError(f"the worker never had hold of {kind}: {work(site.env)}")


def made(env: dict[str, str]) -> set[str]:
    """Every file that workers have put into the store."""
    store = Path(env["BRIEFLOCK_DATA"]) / "files"
    return {str(path.relative_to(store)) for path in (store / "derived").rglob("*") if path.is_file()}


def leave_half_a_file(env: dict[str, str], killed: Row) -> Path:
    """What a death while files are being put into the store leaves there: one of them, not whole."""
    folder = Path(env["BRIEFLOCK_DATA"]) / "files/derived" / killed.kind.partition(".")[2] / killed.key[:2] / killed.key
    path = folder / FIRST[killed.kind]
    folder.mkdir(parents=True, exist_ok=True)
    path.write_bytes(HALF)
    return path


def named(value: object) -> set[str]:
    """Every file that a result names."""
    if isinstance(value, dict):
        return {path for part in value.values() for path in named(part)}
    if isinstance(value, list):
        return {path for part in value for path in named(part)}
    return {value} if isinstance(value, str) and value.startswith("derived/") else set()


@pytest.mark.parametrize("name", ["embedded", "servers"])
@pytest.mark.parametrize("kind", FIRST)
def test_killed_worker_loses_nothing_and_nothing_is_made_twice(name, kind, tmp_path, big_layouts):
    with backend(name, tmp_path) as env, portal(tmp_path, env) as site:
        # It sleeps until all has been sent, so that it is met at its work.
        os.killpg(site.worker.pid, signal.SIGSTOP)
        site.manage("shell", "-c", SEND.format(mockup=str(MOCKUPS[1]), layouts=[str(path) for path in big_layouts]))
        killed = kill_at_work(site, kind)
        assert killed.tries == 1
        left = leave_half_a_file(env, killed)
        with running(worker_command(env), tmp_path / "second.log", cwd=BASE, env=env):
            wait_for(lambda: settled(env), "the end of all work", 180)

            rows = work(env)
            # Previews of the bare mockup are owed as well, where a layout was not ready when the mockup was.
            assert {row.kind for row in rows} == {"layouts.copies", "layouts.prepare", "layouts.preview"}
            assert [row for row in rows if row.state != "done"] == []
            assert sorted(row.tries for row in rows) == [1] * (len(rows) - 1) + [2]
            assert made(env) == {path for row in rows for path in named(row.result)}
            assert left.read_bytes() != HALF


def settled(env: dict[str, str]) -> bool:
    """Whether nothing is open, and both layouts have been laid over the mockup."""
    rows = work(env)
    laid = [row for row in rows if row.kind == "layouts.preview" and "layer" in row.result.get("files", {})]
    return all(row.state in ("done", "failed") for row in rows) and len(laid) == 2
