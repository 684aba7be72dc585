"""Protects a real worker from a real hostile file: past its time or memory the row fails in words, the worker lives.

The preview then keeps the layout before it. A library that never comes back is played by stopping the worker's child,
which then hears no soft limit.
"""

import contextlib
import json
import os
import signal
import sqlite3
import time
from contextlib import closing
from pathlib import Path

import pytest

from portal.work.actions import FAILED_AGAIN
from tests.hostile.bombs import png, zeros
from tests.layouts.layout_files import drawn, encoded
from tests.services import backend, portal, wait_for

pytestmark = pytest.mark.services
SECONDS, MEBIBYTES = 20, 1200
START = """
from django.core.files.base import ContentFile
from layouts.formats import actions as formats, catalogue
from layouts.pictures import actions as pictures
from portal.brief import actions as brief
from portal.models import User
from shots.shot import actions as shots
user = User.objects.create_user("keeper@example.com", "Keeper", "a long password", starts_campaigns=True)
by = brief.start_campaign(user, title="T", code="T-1", client="C", languages=["en-GB"])
shot = shots.add_shot(by, title="One")
formats.add_formats(by, formats=catalogue.chosen(["96-sheet"]))
with open({mockup!r}, "rb") as picture:
    pictures.add_mockup(by, shot.key, file=ContentFile(picture.read(), name="mockup.jpg"))
"""
SEND = """
from django.core.files import File
from layouts.models import Placement
from layouts.overlays import actions
from portal.models import Member
with open({path!r}, "rb") as layout:
    (row,) = actions.receive_files(Member.objects.get(), files=[File(layout, name="layout.png")],
                                   placement=Placement.objects.get().key)
assert row.state == "placed", row.says
"""


@pytest.fixture
def site(tmp_path):
    limits = {"BRIEFLOCK_WORK_SECONDS": str(SECONDS), "BRIEFLOCK_WORK_MEMORY_MIB": str(MEBIBYTES)}
    with backend("embedded", tmp_path / "site", **limits) as env, portal(tmp_path / "site", env) as running:
        mockup = tmp_path / "mockup.jpg"
        mockup.write_bytes(encoded(drawn((1600, 900), mode="RGB"), "JPEG"))
        running.manage("shell", "-c", START.format(mockup=str(mockup)))
        yield running


@pytest.fixture
def send(site, tmp_path):
    def sent(name, data):
        path = tmp_path / name
        path.write_bytes(data)
        site.manage("shell", "-c", SEND.format(path=str(path)))

    return sent


def rows(site, kind, patience=20):
    """state, says, tries, claimant and inputs of each row of this kind, oldest first."""
    database = f"file:{site.env['BRIEFLOCK_DATA']}/brieflock.sqlite3?mode=ro"
    asked = "SELECT state, says, tries, claimed_by, inputs FROM portal_work WHERE kind = ? ORDER BY id"
    with closing(sqlite3.connect(database, uri=True, timeout=patience)) as there:
        return [(*row[:4], json.loads(row[4])) for row in there.execute(asked, [kind]).fetchall()]


def settled(site):
    found = [row for kind in ("layouts.prepare", "layouts.preview") for row in rows(site, kind)]
    return bool(found) and all(row[0] in ("done", "failed") for row in found)


def shown(site):
    """The layout that the placement's preview shows, by its digest."""
    asked = "SELECT w.inputs FROM layouts_preview p JOIN portal_work w ON w.id = p.work_id"
    with closing(sqlite3.connect(f"file:{site.env['BRIEFLOCK_DATA']}/brieflock.sqlite3?mode=ro", uri=True)) as there:
        return json.loads(there.execute(asked).fetchone()[0])["layout"]


def stop_with_empty_hands(site):
    """Stop the worker at a moment when it holds nothing of the database, which whoever sends a file must write to."""

    def stopped():
        os.killpg(site.worker.pid, signal.SIGSTOP)
        database = f"{site.env['BRIEFLOCK_DATA']}/brieflock.sqlite3"
        try:
            with closing(sqlite3.connect(database, timeout=0.2, isolation_level=None)) as there:
                there.execute("PRAGMA journal_mode=WAL")
                there.execute("BEGIN IMMEDIATE")
                there.execute("ROLLBACK")
        except sqlite3.OperationalError:
            os.killpg(site.worker.pid, signal.SIGCONT)
            return False
        return True

    wait_for(stopped, "a moment without the database in the worker's hand", 60)


def met_at_work(site, make):
    """Send a file, and stop the worker's child while it has hold of it; the child's process."""
    stop_with_empty_hands(site)
    make()
    deadline = time.monotonic() + 60
    while time.monotonic() < deadline:
        os.killpg(site.worker.pid, signal.SIGCONT)
        time.sleep(0.02)
        os.killpg(site.worker.pid, signal.SIGSTOP)
        with contextlib.suppress(sqlite3.OperationalError):  # it was stopped with the whole database in its hand
            newest = rows(site, "layouts.prepare", patience=0.1)[-1]
            if newest[0] == "working":
                child = int(newest[3].rpartition(":")[2])
                os.killpg(site.worker.pid, signal.SIGCONT)
                os.kill(child, signal.SIGSTOP)
                return child
            assert newest[0] == "owed"
    raise AssertionError(f"the worker never had hold of it: {rows(site, 'layouts.prepare')}")


def layout(seed):
    return encoded(drawn((1600, 400), seed=seed))


@pytest.mark.parametrize("end", ["never comes back", "too much memory"])
def test_a_layout_past_the_limits_fails_in_words_and_the_one_before_it_stays(site, send, end):
    send("first.png", layout(1))
    wait_for(lambda: len(rows(site, "layouts.prepare")) == 1 and settled(site), "the first preview", 120)
    first = shown(site)
    assert first == rows(site, "layouts.prepare")[0][4]["sha256"]

    if end == "too much memory":  # 225 megapixels that can only be decoded whole, 900 MiB
        send("second.png", png(30_000, 7_500, zeros(910 << 20, 1), lace=1))
    else:
        met_at_work(site, lambda: send("second.png", png(30_000, 7_500, zeros(7_500 * 120_001, 1))))
    wait_for(lambda: rows(site, "layouts.prepare")[-1][0] == "failed", "the end of the second layout", SECONDS + 60)

    state, says, tries, *_ = rows(site, "layouts.prepare")[-1]
    assert (state, says, tries) == ("failed", FAILED_AGAIN, 1)
    assert site.worker.poll() is None
    assert shown(site) == first

    send("third.png", layout(3))
    wait_for(lambda: len(rows(site, "layouts.prepare")) == 3 and settled(site), "the third preview", 120)
    assert shown(site) == rows(site, "layouts.prepare")[-1][4]["sha256"]
    assert "CRITICAL" not in (Path(site.folder) / "worker.log").read_text()


def test_a_child_that_is_killed_is_tried_again_at_once(site, send):
    child = met_at_work(site, lambda: send("first.png", png(12_000, 3_000, zeros(3_000 * 48_001, 1))))
    os.kill(child, signal.SIGKILL)

    wait_for(lambda: settled(site), "its end", SECONDS + 60)

    state, says, tries, *_ = rows(site, "layouts.prepare")[-1]
    assert (state, says, tries) == ("done", "", 2)
    assert site.worker.poll() is None
