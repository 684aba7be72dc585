"""A campaign's archive as a file: one ZIP whose every byte is covered by a digest, written and read as a stream.

The manifest holds each entry's size and SHA-256. The ZIP's comment ends with the SHA-256 of all bytes before those 64
digits, so that not even a header can be altered unseen. What an archive says of itself is not believed: names, sizes
and ratios are looked at before anything is unpacked.
"""

import hashlib
import json
import re
import struct
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from pathlib import Path
from types import TracebackType
from typing import IO, Any

MANIFEST = "manifest.json"
# Lower-case names in folders; no step begins with a dot, so that none leads upwards; short enough for any disk.
NAME = re.compile(r"(?=.{1,200}\Z)[a-z0-9_][a-z0-9._-]*(/[a-z0-9_][a-z0-9._-]*)*")
_SEAL = b"SHA-256 "
_DIGITS = 64
_EPOCH = (1980, 1, 1, 0, 0, 0)  # the earliest that a ZIP can say: the same campaign makes the same bytes
_CHUNK = 1 << 20
_MANIFEST_BYTES = 256 << 20
# What text unfolds to at most; below a MiB a ratio says nothing.
_RATIO, _SMALL = 100, 1 << 20
# What zipfile raises for a flipped bit in a directory, a header, a checksum or a deflated stream.
_SPOILT = (
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    EOFError,
    RuntimeError,  # a later kind of ZIP and an encrypted entry too
    OverflowError,
    OSError,
    ValueError,
)


class Damaged(ValueError):
    """The archive is not whole; its text is a sentence that names the entry."""


class Writer:
    """Writes an archive; on leaving the context it is sealed, or removed if that was by an error."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.entries: dict[str, dict[str, Any]] = {}
        self._zip = zipfile.ZipFile(path, "w", allowZip64=True)

    def __enter__(self) -> "Writer":
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, _: TracebackType | None) -> None:
        self._zip.close()
        if error is not None:
            self.path.unlink(missing_ok=True)

    def add(self, name: str, chunks: Iterable[bytes], *, packed: bool = True) -> None:
        """Write an entry; `packed`: text is deflated, pictures are stored as they are. Raises ValueError for a name."""
        if not NAME.fullmatch(name) or name in self.entries:
            raise ValueError(f"{name!r} cannot be an entry, or is one already")
        size, digest = self._write(name, chunks, packed)
        self.entries[name] = {"sha256": digest, "bytes": size}

    def finish(self, about: dict[str, Any]) -> str:
        """Write the manifest with what it says of the archive, and seal it; the SHA-256 in the seal."""
        text = json.dumps(about | {"entries": self.entries}, ensure_ascii=False, indent=1)
        self._write(MANIFEST, [text.encode()], True)
        self._zip.close()
        return seal(self.path)

    def _write(self, name: str, chunks: Iterable[bytes], packed: bool) -> tuple[int, str]:
        info = zipfile.ZipInfo(name, _EPOCH)
        info.compress_type = zipfile.ZIP_DEFLATED if packed else zipfile.ZIP_STORED
        info.external_attr = 0o644 << 16
        size, found = 0, hashlib.sha256()
        with self._zip.open(info, "w", force_zip64=True) as out:
            for chunk in chunks:
                out.write(chunk)
                found.update(chunk)
                size += len(chunk)
        return size, found.hexdigest()


def seal(path: Path) -> str:
    """Write the seal of a ZIP as it now is; returns its SHA-256."""
    with zipfile.ZipFile(path, "a") as archive:
        archive.comment = _SEAL + b"0" * _DIGITS
    digest = _digest_before_seal(path)
    with path.open("r+b") as file:
        file.seek(-_DIGITS, 2)
        file.write(digest.encode())
    return digest


def _digest_before_seal(path: Path) -> str:
    found, left = hashlib.sha256(), max(path.stat().st_size - _DIGITS, 0)
    with path.open("rb") as file:
        while left and (chunk := file.read(min(left, _CHUNK))):
            found.update(chunk)
            left -= len(chunk)
    return found.hexdigest()


class Reader:
    """An archive that has been looked at whole: once it is open, every entry is what the manifest says.

    Raises Damaged, OSError.
    """

    def __init__(self, path: Path) -> None:
        path.open("rb").close()  # a file that cannot be read at all is no damage of an archive
        try:
            self._zip = zipfile.ZipFile(path)
        except _SPOILT as wrong:
            raise Damaged("This is no archive of a campaign, or its end is missing.") from wrong
        try:
            self._check(path)
        except Damaged:
            self._zip.close()
            raise

    def _check(self, path: Path) -> None:
        with path.open("rb") as file:
            file.seek(max(path.stat().st_size - _DIGITS, 0))
            sealed = file.read()
        if not re.fullmatch(_SEAL + rb"[0-9a-f]{64}", self._zip.comment):
            raise Damaged("The archive has no seal: it was packed by another program, or its end is missing.")
        infos = self._names()
        self.manifest = self._manifest(infos)
        for name, told in self.manifest["entries"].items():
            self._entry(name, told, infos)
        if _digest_before_seal(path).encode() != sealed:
            raise Damaged("The archive's own directory was altered: its entries are whole, its seal is not.")

    def __enter__(self) -> "Reader":
        return self

    def __exit__(self, *_: object) -> None:
        self._zip.close()

    def open(self, name: str) -> IO[bytes]:
        """An entry, to be read as a stream. Raises Damaged where there is none."""
        if name not in self.manifest["entries"]:
            raise Damaged(f"The entry {name} is missing.")
        return self._zip.open(name)

    def lines(self, name: str, longest: int = 64 << 20) -> Iterator[tuple[int, Any]]:
        """Number and value of each line of an entry of JSON Lines. Raises Damaged."""
        with self.open(name) as entry:
            number = 0
            while line := entry.readline(longest):
                number += 1
                try:
                    yield number, json.loads(line)
                except (ValueError, RecursionError) as wrong:
                    raise Damaged(f"The entry {name} is damaged: line {number} is no JSON.") from wrong

    def _names(self) -> dict[str, zipfile.ZipInfo]:
        found: dict[str, zipfile.ZipInfo] = {}
        for info in self._zip.infolist():
            if not NAME.fullmatch(info.filename) or info.filename != info.orig_filename:
                raise Damaged(f"The entry {info.filename!r} has a name that no archive of a campaign has.")
            if info.filename in found:
                raise Damaged(f"The entry {info.filename} is there twice.")
            _can_be_unpacked(info)
            found[info.filename] = info
        for name in found:
            if folder := next((step for step in _folders(name) if step in found), None):
                raise Damaged(f"The entry {folder} is a file, and the folder of {name}.")
        return found

    def _manifest(self, infos: dict[str, zipfile.ZipInfo]) -> dict[str, Any]:
        if MANIFEST not in infos:
            raise Damaged(f"The entry {MANIFEST} is missing.")
        if infos[MANIFEST].file_size > _MANIFEST_BYTES:
            raise Damaged(f"The entry {MANIFEST} is larger than any manifest.")
        try:
            found = json.loads(b"".join(self._chunks(MANIFEST)))
            entries = found["entries"]
            plain = all(isinstance(told["sha256"], str) and isinstance(told["bytes"], int) for told in entries.values())
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as wrong:
            if isinstance(wrong, Damaged):
                raise
            raise Damaged(f"The entry {MANIFEST} is not what it should be.") from wrong
        if not plain:
            raise Damaged(f"The entry {MANIFEST} is not what it should be.")
        if extra := sorted(infos.keys() - entries.keys() - {MANIFEST}):
            raise Damaged(f"The entry {extra[0]} does not belong to this archive: its manifest does not name it.")
        if missing := sorted(entries.keys() - infos.keys()):
            raise Damaged(f"The entry {missing[0]} is missing.")
        return dict(found)

    def _entry(self, name: str, told: dict[str, Any], infos: dict[str, zipfile.ZipInfo]) -> None:
        if infos[name].file_size != told["bytes"]:
            raise Damaged(f"The entry {name} has {infos[name].file_size} bytes and should have {told['bytes']}.")
        found = hashlib.sha256()
        for chunk in self._chunks(name):
            found.update(chunk)
        if found.hexdigest() != told["sha256"]:
            raise Damaged(f"The entry {name} is damaged: its bytes are not those whose digest was kept.")

    def _chunks(self, name: str) -> Iterator[bytes]:
        try:
            with self._zip.open(name) as entry:
                while chunk := entry.read(_CHUNK):
                    yield chunk
        except _SPOILT as wrong:
            raise Damaged(f"The entry {name} is damaged.") from wrong


def _folders(name: str) -> Iterator[str]:
    while "/" in name:
        name = name.rpartition("/")[0]
        yield name


def _can_be_unpacked(info: zipfile.ZipInfo) -> None:
    """Before a byte of it is unpacked: only what we write, and nothing that unfolds beyond reason."""
    if info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED) or info.flag_bits & 1:
        raise Damaged(f"The entry {info.filename} is packed in a way that no archive of a campaign is.")
    if info.compress_type == zipfile.ZIP_STORED and info.compress_size != info.file_size:
        raise Damaged(f"The entry {info.filename} is damaged: it says two sizes.")
    if info.file_size > _SMALL and info.file_size > _RATIO * info.compress_size:
        raise Damaged(
            f"The entry {info.filename} would unfold from {info.compress_size} to {info.file_size} bytes, which no "
            "entry of a campaign does."
        )
