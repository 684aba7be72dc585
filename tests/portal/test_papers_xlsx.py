"""Protects lists as XLSX: read back by another library, ready to print, and no text that becomes a formula."""

import io
from datetime import datetime

import openpyxl
import pytest

from portal.papers.xlsx import xlsx
from tests.portal.papers_sheets import COLUMNS, JUG, PLATE, sheet

HEAD = 4  # the row of heads, counted from 1


def opened(made, paper="a4"):
    return openpyxl.load_workbook(io.BytesIO(xlsx(made, paper)))


def cells(page, row):
    return [cell.value for cell in page[row]]


def test_xlsx_holds_heads_rows_types_and_total():
    page = opened(sheet(PLATE, JUG, total=("Together", 14, None, None, None)))["To bring"]
    assert cells(page, HEAD) == [column.label for column in COLUMNS]
    assert cells(page, HEAD + 1) == [
        "Stoneware plate, 24 cm", 2, "Potter in the village", datetime(2027, 2, 3), "Ŵŷ, breakable",
    ]  # fmt: skip
    assert cells(page, HEAD + 3)[:2] == ["Together", 14]
    assert page.cell(HEAD + 1, 2).number_format == "#,##0"
    assert page.cell(HEAD + 1, 4).number_format == "d mmm yyyy"
    assert page.cell(HEAD, 1).font.bold


def test_xlsx_says_so_where_nothing_is_on_a_list():
    assert cells(opened(sheet())["To bring"], HEAD + 1)[0] == "Nothing is on this list."


@pytest.mark.parametrize(("paper", "size"), [("a4", 9), ("letter", 1)])  # ECMA-376, ST_PaperSize
def test_xlsx_is_set_up_for_print(paper, size):
    page = opened(sheet(PLATE), paper)["To bring"]
    assert (page.page_setup.paperSize, page.page_setup.orientation) == (size, "landscape")
    # ECMA-376, 18.3.1.63: a width that is not written is one page; a height of 0 is as many as it takes.
    assert (page.page_setup.fitToWidth or 1, page.page_setup.fitToHeight) == (1, 0)
    assert page.sheet_properties.pageSetUpPr.fitToPage
    assert page.print_title_rows == f"${HEAD}:${HEAD}"
    assert page.freeze_panes == f"B{HEAD + 1}"
    assert page.column_dimensions["A"].width > 20


@pytest.mark.parametrize(("draft", "says"), [(True, "DRAFT, 9c41 e07b"), (False, "version 2, locked, 9c41 e07b")])
def test_every_worksheet_carries_the_stamp(draft, says):
    book = opened(sheet(PLATE, draft=draft, cautions=("Glass breaks.",)))
    assert book.sheetnames == ["To bring", "Take care"]
    assert all(page.oddHeader.right.text == says for page in book)
    assert says in book["To bring"]["A2"].value


# OWASP, "CSV Injection", and what spreadsheet programs take for an address or a number.
@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(1)", "{=1}", "http://example.com", "007", "\tx"])
def test_xlsx_keeps_every_text_as_text(text):
    cell = opened(sheet((text, 1, "", None, "")))["To bring"].cell(HEAD + 1, 1)
    assert (cell.data_type, cell.value, cell.hyperlink) == ("s", text, None)


def test_xlsx_leaves_control_characters_out():
    assert opened(sheet(("bell\x07\x00", 1, "", None, "")))["To bring"].cell(HEAD + 1, 1).value == "bell"


def test_worksheets_of_one_name_and_of_forbidden_signs_can_be_opened():
    from dataclasses import replace

    from portal.papers.sheet import Part

    parts = tuple(Part("a/b [c]: " + "long " * 9, COLUMNS, (PLATE,)) for _ in range(2))
    names = opened(replace(sheet(), parts=parts)).sheetnames
    assert len(set(names)) == 2
    assert all(len(name) <= 31 and not set(name) & set("[]:*?/\\'") for name in names)


def test_a_header_shows_an_ampersand_and_obeys_none():
    from dataclasses import replace

    page = opened(replace(sheet(PLATE), code="A&B"))["To bring"]
    # "&&" is how a header shows "&" (ECMA-376, 18.3.1.46).
    assert page.oddHeader.left.text == "A&&B Props"
