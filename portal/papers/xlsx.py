"""A sheet as XLSX, for those who go on working with a list: a worksheet a part, ready to print."""

import io
import re
from datetime import date, datetime, time
from typing import Any, Literal

import xlsxwriter

from portal.papers.cells import printable
from portal.papers.sheet import Cell, Part, Sheet

_PAPERS = {"letter": 1, "a4": 9}  # ECMA-376, ST_PaperSize
# No text becomes a formula, an address or a number: what people wrote stays text.
_AS_TEXT = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
_GREY, _RED = "#5F5F5F", "#B3261E"
# Where the table begins, below the title, the stamp and a free row.
_HEAD_ROW = 3


def xlsx(sheet: Sheet, paper: Literal["a4", "letter"] = "a4") -> bytes:
    """The sheet as a workbook. Raises KeyError for another paper."""
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True, **_AS_TEXT}) as book:
        book.set_properties({"title": f"{sheet.code} {sheet.title}", "comments": sheet.stamp.line})
        styles = _styles(book)
        names: set[str] = set()
        for part in sheet.parts:
            page = book.add_worksheet(_name(part.title, names))
            _setup(page, sheet, paper)
            _top(page, sheet, part, styles)
            _table(page, part, styles)
            _fit(page, part)
        if sheet.cautions:
            page = book.add_worksheet(_name("Take care", names))
            _setup(page, sheet, paper)
            page.set_column(0, 0, 100, styles["text"])
            for at, caution in enumerate(sheet.cautions):
                page.write_string(at, 0, printable(caution), styles["text"])
    return out.getvalue()


def _styles(book: Any) -> dict[str, Any]:
    base = {"font_name": "Arial", "font_size": 10, "valign": "top"}
    text = base | {"text_wrap": True}
    head = text | {"bold": True, "bottom": 2, "valign": "bottom"}
    total = base | {"bold": True, "top": 2}
    made = {
        "title": base | {"font_size": 16, "bold": True},
        "stamp": base | {"font_color": _GREY},
        "draft": base | {"font_color": _RED, "bold": True},
        "head": head,
        "head-number": head | {"align": "right"},
        "text": text,
        "number": base | {"num_format": "#,##0"},
        "date": base | {"num_format": "d mmm yyyy", "align": "left"},
        "total": total,
        "total-number": total | {"num_format": "#,##0"},
    }
    return {name: book.add_format(what) for name, what in made.items()}


def _name(title: str, taken: set[str]) -> str:
    """A worksheet's name: at most 31 characters, without those that are not allowed, each once."""
    plain = re.sub(r"[\[\]:*?/\\']", " ", printable(title)).strip()[:28] or "List"
    name, at = plain, 2
    while name.lower() in taken:
        name, at = f"{plain} {at}", at + 1
    taken.add(name.lower())
    return name


def _setup(page: Any, sheet: Sheet, paper: str) -> None:
    page.set_landscape()
    page.set_paper(_PAPERS[paper])
    page.set_margins(left=0.5, right=0.5, top=0.75, bottom=0.75)
    page.fit_to_pages(1, 0)
    # In headers "&" begins a command.
    said = f"{sheet.code} {sheet.title}".replace("&", "&&")
    page.set_header(f"&L{said[:100]}&R{sheet.stamp.line.replace('&', '&&')}")
    page.set_footer(f"&L{sheet.notice.replace('&', '&&')[:150]}&Rpage &P of &N")


def _top(page: Any, sheet: Sheet, part: Part, styles: dict[str, Any]) -> None:
    title = f"{sheet.code} {sheet.title}: {part.title}. {sheet.subtitle}"
    page.write_string(0, 0, printable(title), styles["title"])
    stamp = f"{sheet.stamp.line}. {sheet.stamp.address} {sheet.notice}".strip()
    page.write_string(1, 0, printable(stamp), styles["draft" if sheet.stamp.draft else "stamp"])


def _table(page: Any, part: Part, styles: dict[str, Any]) -> None:
    for at, column in enumerate(part.columns):
        style = styles["head-number" if column.kind == "number" else "head"]
        page.write_string(_HEAD_ROW, at, column.label, style)
    line = _HEAD_ROW
    for line, row in enumerate(part.rows, start=_HEAD_ROW + 1):
        for at, cell in enumerate(row):
            _write(page, line, at, cell, styles[part.columns[at].kind])
    if part.rows:
        page.autofilter(_HEAD_ROW, 0, line, len(part.columns) - 1)
    else:
        page.write_string(_HEAD_ROW + 1, 0, part.empty, styles["stamp"])
    if part.total:
        for at, cell in enumerate(part.total):
            style = styles["total-number" if part.columns[at].kind == "number" else "total"]
            _write(page, line + 1, at, cell, style)


def _write(page: Any, line: int, at: int, cell: Cell, style: Any) -> None:
    if cell is None or cell == "":
        page.write_blank(line, at, None, style)
    elif isinstance(cell, date):
        page.write_datetime(line, at, datetime.combine(cell, time()), style)
    elif isinstance(cell, str):
        page.write_string(line, at, printable(cell), style)
    else:
        page.write_number(line, at, cell, style)


def _fit(page: Any, part: Part) -> None:
    for at, column in enumerate(part.columns):
        page.set_column(at, at, 40 if column.below else max(column.width, len(column.label) + 3))
    page.freeze_panes(_HEAD_ROW + 1, 1)
    page.repeat_rows(_HEAD_ROW)
