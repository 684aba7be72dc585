"""Protects the store: a write that is broken off, by an error or with its process, leaves no file."""

import os
import signal
import subprocess
import sys
from hashlib import sha256

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import TemporaryUploadedFile

from portal.files.actions import keep
from portal.files.sending import put_derived
from portal.files.storage import WholeFiles

BYTES = b"a picture, " * 20_000
SHA = sha256(BYTES).hexdigest()


class BrokenOff(ContentFile):
    """A file whose second half never comes."""

    def chunks(self, *_):
        yield BYTES[: len(BYTES) // 2]
        raise OSError("no space left")


def in_store(root):
    return sorted(path.name for path in root.rglob("*") if path.is_file())


def test_an_original_that_is_broken_off_leaves_nothing_and_comes_whole_the_next_time(db, tmp_path):
    facts = {"type": "png", "width": 1, "height": 1}
    with pytest.raises(OSError, match="no space"):
        keep(BrokenOff(BYTES, "a.png"), **facts)
    assert in_store(tmp_path / "files") == []
    stored = keep(ContentFile(BYTES, "a.png"), **facts)
    assert in_store(tmp_path / "files") == [SHA]
    with default_storage.open(stored.path) as kept:
        assert kept.read() == BYTES


def test_the_beginning_of_an_original_that_lies_there_is_replaced(db, tmp_path):
    """As portals from before the store wrote beside may hold it."""
    default_storage.save(f"originals/{SHA[:2]}/{SHA}", ContentFile(BYTES[:100]))
    stored = keep(ContentFile(BYTES, "a.png"), type="png", width=1, height=1)
    with default_storage.open(stored.path) as kept:
        assert kept.read() == BYTES
    assert in_store(tmp_path / "files") == [SHA]


def test_a_made_file_takes_the_place_of_an_earlier_one(tmp_path):
    for data in (b"first", b"second"):
        made = tmp_path / "made.png"
        made.write_bytes(data)
        assert put_derived("derived/ab/made.png", made) == "derived/ab/made.png"
    assert (tmp_path / "files/derived/ab/made.png").read_bytes() == b"second"
    assert in_store(tmp_path / "files") == ["made.png"]


KILLED = """
import sys, time
sys.path.insert(0, sys.argv[2])
from django.conf import settings
settings.configure()
from django.core.files.base import ContentFile
from portal.files.storage import WholeFiles
class Slow(ContentFile):
    def chunks(self, *_):
        yield b"x" * 1_000_000
        print("half", flush=True)
        time.sleep(60)
WholeFiles(location=sys.argv[1]).save("originals/ab/abcd", Slow(b""))
"""


def test_a_process_that_is_killed_leaves_nothing_under_the_files_name(tmp_path):
    writing = subprocess.Popen([sys.executable, "-c", KILLED, tmp_path, os.getcwd()], stdout=subprocess.PIPE)
    assert writing.stdout.readline() == b"half\n"
    os.kill(writing.pid, signal.SIGKILL)
    writing.wait(10)
    writing.stdout.close()
    store = WholeFiles(location=tmp_path)
    assert not store.exists("originals/ab/abcd")
    assert store.save("originals/ab/abcd", ContentFile(BYTES)) == "originals/ab/abcd"
    with store.open("originals/ab/abcd") as kept:
        assert kept.read() == BYTES


def test_an_upload_is_moved_and_not_copied(tmp_path):
    upload = TemporaryUploadedFile("a.png", "image/png", len(BYTES), None)
    upload.write(BYTES)
    upload.flush()
    inode = os.stat(upload.temporary_file_path()).st_ino
    WholeFiles(location=tmp_path).save("originals/ab/abcd", upload)
    upload.close()
    assert (tmp_path / "originals/ab/abcd").read_bytes() == BYTES
    assert in_store(tmp_path) == ["abcd"]
    assert os.stat(tmp_path / "originals/ab/abcd").st_ino == inode
