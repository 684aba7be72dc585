"""Protects lists as CSV: RFC 4180, read back whole by another reader, and no text that runs as a formula."""

import csv as standard
import io

import pytest

from portal.papers.delimited import csv
from tests.portal.papers_sheets import COLUMNS, JUG, PLATE, sheet


def read(data):
    return list(standard.reader(io.StringIO(data.decode("utf-8-sig"), newline=""), strict=True))


def test_csv_begins_with_its_stamp_then_the_heads_then_the_rows():
    stamp, blank, title, heads, *rows = read(csv(sheet(PLATE, JUG)))
    assert stamp[:2] == ["version 2, locked, 9c41 e07b", "OAT-27 Props"]
    assert (blank, title, heads) == ([], ["To bring"], [column.label for column in COLUMNS])
    assert rows == [
        ["Stoneware plate, 24 cm", "2", "Potter in the village", "2027-02-03", "Ŵŷ, breakable"],
        ["Syrup jug", "12", "", "", ""],
    ]


def test_csv_of_a_draft_says_so_in_the_first_line():
    assert csv(sheet(PLATE, draft=True)).decode("utf-8-sig").splitlines()[0].startswith('"DRAFT, 9c41 e07b"')


def test_csv_follows_rfc_4180():
    # RFC 4180, section 2: records end with CR LF (1); a field with quotes, commas or line breaks is quoted (6), and
    # quotes within it are doubled (7).
    data = csv(sheet(('A "plate", grey', 1, "two\nlines", None, "")))
    assert data.startswith(b"\xef\xbb\xbf")
    assert b'"A ""plate"", grey",1,"two\nlines",,\r\n' in data
    assert data.endswith(b"\r\n")


# OWASP, "CSV Injection": cells that begin with one of these are taken for formulas.
@pytest.mark.parametrize("begins", ["=", "+", "-", "@", "\t", "\r"])
def test_csv_neutralises_what_would_run_as_a_formula(begins):
    text = f"{begins}HYPERLINK(1)"
    *_, row = read(csv(sheet((text, 1, text, None, text))))
    assert row == ["'" + text, "1", "'" + text, "", "'" + text]


@pytest.mark.parametrize("text", ["  =1+1", "\u00a0@SUM(1)", "＝1+1", "\n=1+1"])
def test_csv_neutralises_a_formula_in_disguise(text):
    *_, row = read(csv(sheet((text, 1, "", None, ""))))
    assert row[0] == "'" + text


@pytest.mark.parametrize("text", ["5-spice", "a=b", "3 + 2 plates", "'quoted'", "é"])
def test_csv_leaves_other_texts_as_they_are(text):
    *_, row = read(csv(sheet((text, 1, "", None, ""))))
    assert row[0] == text


def test_csv_keeps_control_characters_out():
    *_, row = read(csv(sheet(("bell\x07 and\x00 null", 1, "", None, ""))))
    assert row[0] == "bell and null"
