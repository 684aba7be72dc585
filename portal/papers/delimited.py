"""A sheet as CSV: RFC 4180, UTF-8 with a byte order mark so that spreadsheet programs read it as such."""

import csv as standard
import io
from datetime import date

from portal.papers.cells import harmless, printable
from portal.papers.sheet import Cell, Sheet


def csv(sheet: Sheet) -> bytes:
    """The sheet as a CSV file: its stamp, then each part with a row of heads. Dates are ISO 8601, lines end CR LF."""
    out = io.StringIO(newline="")
    write = standard.writer(out, dialect="excel", lineterminator="\r\n").writerow
    # The first row tells what this is: a list without its stamp could be any list.
    write(_row((sheet.stamp.line, f"{sheet.code} {sheet.title}", sheet.subtitle, sheet.stamp.address, sheet.notice)))
    for part in sheet.parts:
        write([])
        write(_row((part.title,)))
        write(_row(tuple(column.label for column in part.columns)))
        for row in part.rows:
            write(_row(row))
        if part.total:
            write(_row(part.total))
    return out.getvalue().encode("utf-8-sig")


def _row(cells: tuple[Cell, ...]) -> list[str | int | float]:
    return [_cell(cell) for cell in cells]


def _cell(cell: Cell) -> str | int | float:
    if cell is None:
        return ""
    if isinstance(cell, date):
        return cell.isoformat()
    return harmless(printable(cell)) if isinstance(cell, str) else cell
