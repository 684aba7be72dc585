"""A sheet as PDF, set with Typst: tagged for screen readers (PDF/UA-1, ISO 14289-1), for print on A4 or Letter."""

import json
from datetime import date
from pathlib import Path
from typing import Any, Literal

import segno
import typst

from portal.papers.cells import printable
from portal.papers.sheet import Cell, Part, Sheet, day

HERE = Path(__file__).parent
NO_SHAPE = "Some characters are missing here: the fonts of this machine do not have them."
_PAPERS = {"a4": "a4", "letter": "us-letter"}


def pdf(sheet: Sheet, paper: Literal["a4", "letter"] = "a4") -> bytes:
    """The sheet as a PDF file.

    What people wrote reaches Typst as data (JSON), never as markup. Raises KeyError for another paper.
    """
    return typeset(
        HERE / "sheet.typ", head_of(sheet) | {"parts": [_part(part) for part in sheet.parts]}, _PAPERS[paper]
    )


def typeset(main: Path, data: dict[str, Any], paper: str) -> bytes:
    """Set a Typst file that takes `data`, which has a `notice`; all that it reads lies in its folder.

    `paper` is named as Typst has it.
    """
    try:
        return _set(main, data, paper, "ua-1")
    except typst.TypstError as refused:
        # PDF/UA allows no character without a shape. Rather than lose the list, show a gap and say so.
        if "could not be displayed" not in str(refused):
            raise
        return _set(main, data | {"notice": f"{data['notice']} {NO_SHAPE}".strip()}, paper)


def _set(main: Path, data: dict[str, Any], paper: str, *standards: Literal["ua-1"]) -> bytes:
    return typst.compile(
        main,
        root=main.parent,
        format="pdf",
        font_paths=[HERE / "fonts"],
        sys_inputs={"paper": paper, "sheet": _text_of(data)},
        pdf_standards=list(standards),
    )


def _text_of(data: dict[str, Any]) -> str:
    """As JSON; without control characters, of which no font has a shape."""
    return json.dumps(_printable(data), ensure_ascii=False)


def _printable(value: Any) -> Any:
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, dict):
        return {key: _printable(held) for key, held in value.items()}
    return [_printable(held) for held in value] if isinstance(value, list) else value


def head_of(sheet: Sheet) -> dict[str, Any]:
    """What every paper says of itself, as frame.typ takes it."""
    code = segno.make(sheet.stamp.address, error="m", micro=False)
    return {
        "campaign": sheet.campaign,
        "code": sheet.code,
        "title": sheet.title,
        "subtitle": sheet.subtitle,
        "cautions": list(sheet.cautions),
        "notice": sheet.notice,
        "language": sheet.language,
        "draft": sheet.stamp.draft,
        "stamp": sheet.stamp.words,
        "digest": sheet.stamp.grouped,
        "short": sheet.stamp.grouped[:9],
        "address": sheet.stamp.address,
        "qr": code.svg_inline(border=0, omitsize=True),
    }


def _part(part: Part) -> dict[str, Any]:
    inline = [at for at, column in enumerate(part.columns) if not column.below]
    below = [at for at, column in enumerate(part.columns) if column.below]
    return {
        "title": part.title,
        "note": part.note,
        "empty": part.empty,
        "figure": {"svg": part.figure.svg, "width": part.figure.width, "alt": part.figure.alt} if part.figure else None,
        "tick": part.tick,
        "columns": [
            {"label": column.label, "number": column.kind == "number", "width": column.width}
            for column in part.columns
            if not column.below
        ],
        "rows": [
            {
                "cells": [_text(row[at]) for at in inline],
                "below": [[part.columns[at].label, text] for at in below if (text := _text(row[at]))],
            }
            for row in part.rows
        ],
        "total": [_text(part.total[at]) for at in inline] if part.total else None,
    }


def _text(cell: Cell) -> str:
    if cell is None:
        return ""
    return day(cell) if isinstance(cell, date) else str(cell)
