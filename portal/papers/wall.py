"""Pictures on one sheet for the wall, at one scale: A3 or A4 across, with the head, foot and stamp of every paper."""

import shutil
import tempfile
from collections.abc import Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from portal.files.sending import on_disk
from portal.papers.pdf import HERE, head_of, typeset
from portal.papers.sheet import Sheet

# What a paper leaves for a row, in mm, within its margins: width, and height below head, title and captions.
ROOM = {"a3": (390.0, 170.0), "a4": (267.0, 105.0)}


@dataclass(frozen=True)
class Picture:
    """One picture. `width`, `height`: mm on the paper. `path`: a JPEG in the store, "" where there is none."""

    name: str
    width: float
    height: float
    path: str
    alt: str
    notes: tuple[str, ...] = ()
    wrong: str = ""


@dataclass(frozen=True)
class Row:
    """Pictures on one ground line; `says` names them and their scale."""

    says: str
    pictures: tuple[Picture, ...]


@dataclass(frozen=True)
class Section:
    """Rows under a heading."""

    title: str
    rows: tuple[Row, ...]


def wall(head: Sheet, sections: Sequence[Section], paper: str) -> bytes:
    """The sheet as a PDF file; of `head` all but its parts is used. Raises KeyError for a paper that ROOM has not."""
    if paper not in ROOM:
        raise KeyError(paper)
    with ExitStack() as files, tempfile.TemporaryDirectory() as folder:
        room = Path(folder)
        for name in ("wall.typ", "frame.typ"):
            shutil.copy(HERE / name, room)
        names = _lay_out(files, room, sections)
        data = head_of(head) | {"sections": [_section(section, names) for section in sections]}
        return typeset(room / "wall.typ", data, paper)


def _lay_out(files: ExitStack, room: Path, sections: Sequence[Section]) -> dict[str, str]:
    """Each stored picture's name in the folder that Typst may read; one that is gone is left out."""
    names: dict[str, str] = {}
    for section in sections:
        for row in section.rows:
            for path in (picture.path for picture in row.pictures if picture.path):
                if path in names:
                    continue
                name = f"{len(names)}.jpg"
                source = files.enter_context(on_disk(path))
                if source.exists():
                    (room / name).symlink_to(source)
                    names[path] = name
    return names


def _section(section: Section, names: dict[str, str]) -> dict[str, Any]:
    return {
        "title": section.title,
        "rows": [
            {"says": row.says, "pictures": [_picture(picture, names) for picture in row.pictures]}
            for row in section.rows
        ],
    }


def _picture(picture: Picture, names: dict[str, str]) -> dict[str, Any]:
    return {
        "name": picture.name,
        "width": picture.width,
        "height": picture.height,
        "file": names.get(picture.path, ""),
        "alt": picture.alt,
        "notes": list(picture.notes),
        "wrong": picture.wrong,
    }
