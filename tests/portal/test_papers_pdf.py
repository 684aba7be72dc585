"""Protects lists as PDF: tagged and titled, stamped on every page, heads repeated, and texts of people kept as text."""

import hashlib
import io
from dataclasses import replace

import pypdf
import pypdfium2
import pytest

from portal.papers import pdf as papers
from portal.papers.pdf import pdf
from tests.portal.papers_sheets import DIGEST, JUG, PLATE, sheet


def opened(made, paper="a4"):
    return pypdf.PdfReader(io.BytesIO(pdf(made, paper)))


def text_of(page):
    return " ".join(page.extract_text().split())


# ISO 216 and ANSI/ASME Y14.1, in points of 1/72 inch.
@pytest.mark.parametrize(("paper", "size"), [("a4", (595.3, 841.9)), ("letter", (612, 792))])
def test_pdf_has_the_size_of_its_paper(paper, size):
    box = opened(sheet(PLATE), paper).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(size, abs=0.1)


def test_pdf_says_that_it_is_accessible():
    """ISO 14289-1 (PDF/UA-1): part 1 in its XMP, tagged, with a language and a title that viewers show."""
    reader = opened(sheet(PLATE))
    root = reader.trailer["/Root"]
    assert b"<pdfuaid:part>1</pdfuaid:part>" in root["/Metadata"].get_object().get_data()
    assert root["/MarkInfo"]["/Marked"] is not False
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"] is not False
    assert reader.metadata.title == "OAT-27 Props, All shots, due soonest first"


def tags(node, found):
    if isinstance(node, pypdf.generic.DictionaryObject):
        if "/S" in node:
            found.append((node["/S"], node.get("/Alt")))
        below = node.get("/K")
        for child in below if isinstance(below, list) else [below]:
            tags(child.get_object() if hasattr(child, "get_object") else child, found)
    return found


def test_pdf_tags_its_table_and_tells_its_picture():
    found = tags(opened(sheet(PLATE)).trailer["/Root"]["/StructTreeRoot"], [])
    kinds = [kind for kind, _ in found]
    assert kinds.count("/Table") == 1
    assert kinds.count("/TH") == 5  # the box to tick, and four columns; notes stand below their row
    assert kinds.count("/H1") == 1
    (alt,) = [alt for kind, alt in found if kind == "/Figure"]
    assert "http://localhost:8000/c/abcdefghjkmn/brief/2/" in alt


def test_pdf_shows_all_of_a_row():
    page = text_of(opened(sheet(PLATE)).pages[0])
    for words in ("Stoneware plate, 24 cm", "Potter in the village", "3 Feb 2027", "Note: Ŵŷ, breakable", "Got"):
        assert words in page


@pytest.mark.parametrize(("count", "pages"), [(3, 1), (60, 3)])
def test_pdf_repeats_head_stamp_and_page_on_every_page(count, pages):
    reader = opened(sheet(*([PLATE] * count)))
    assert len(reader.pages) == pages
    grouped = " ".join(DIGEST[at : at + 4] for at in range(0, 64, 4))
    for number, page in enumerate(reader.pages, start=1):
        said = text_of(page)
        assert f"page {number} of {pages}" in said
        assert "version 2, locked" in said
        assert grouped in said
        assert "Quantity" in said
        assert "DRAFT" not in said


def test_pdf_of_a_draft_says_so_on_every_page():
    reader = opened(sheet(*([PLATE] * 60), draft=True))
    assert all("DRAFT, not agreed" in text_of(page) for page in reader.pages)
    assert all("locked" not in text_of(page) for page in reader.pages)


def test_pdf_says_on_every_page_what_is_invented():
    reader = opened(sheet(*([PLATE] * 60), notice="Everything in this campaign is invented."))
    assert all("Everything in this campaign is invented." in text_of(page) for page in reader.pages)


def test_pdf_keeps_a_row_together_with_its_notes():
    reader = opened(sheet(*([PLATE] * 60)))
    for page in reader.pages:
        said = text_of(page)
        assert said.count("Stoneware plate, 24 cm") == said.count("Note: Ŵŷ, breakable")


MARKUP = [
    "#strong[bold]",
    "$x^2$",
    "*a* _b_ `c`",
    "= Heading",
    "\\u{41} \\ <label> @ref",
    '"#" // comment',
    "#panic()",
]


@pytest.mark.parametrize("text", MARKUP)
def test_pdf_sets_what_people_wrote_as_text(text):
    said = opened(sheet((text, 1, text, None, text))).pages[0].extract_text()
    for word in text.split():
        assert word in said


def test_pdf_breaks_words_that_are_longer_than_their_column():
    word = "Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunterbeamtengesellschaft"
    page = pypdfium2.PdfDocument(pdf(sheet((word, 1, word, None, "")))).get_page(0)
    text = page.get_textpage()
    rights = [text.get_charbox(at)[2] for at in range(text.count_chars())]
    margin = 15 / 25.4 * 72
    assert max(rights) <= page.get_width() - margin + 1


def test_pdf_with_more_below_a_row_than_a_page_holds_goes_on():
    reader = opened(sheet(("Stew", 1, "", None, "\n".join(f"step {number}" for number in range(200)))))
    assert len(reader.pages) > 2
    assert "step 199" in " ".join(text_of(page) for page in reader.pages)


def test_pdf_without_rows_says_so():
    assert "Nothing is on this list." in text_of(opened(sheet()).pages[0])


def test_pdf_leaves_control_characters_out():
    assert "bell and null" in text_of(opened(sheet(("bell\x07 and\x00 null", 1, "", None, ""))).pages[0])


def test_pdf_with_a_character_that_no_font_has_is_made_and_says_so():
    # Unicode: a private use character has no shape by definition (section 23.5).
    page = text_of(opened(sheet(("Plate \U000f1234", 1, "", None, ""))).pages[0])
    assert "Plate" in page
    assert papers.NO_SHAPE in page


def test_another_paper_is_refused():
    with pytest.raises(KeyError):
        pdf(sheet(JUG), "a3")


@pytest.mark.parametrize("seed", range(4))
def test_a_digest_is_copied_from_the_paper_as_it_is(seed):
    """A letter's glyph has one text in a PDF: what breaks long words must not cling to it, here in the address."""
    digest = hashlib.sha256(bytes([seed])).hexdigest()
    made = sheet(PLATE)
    address = f"http://localhost:8000/c/{digest[:32]}/brief/2/"
    made = replace(made, stamp=replace(made.stamp, digest=digest, address=address))

    text = pypdf.PdfReader(io.BytesIO(pdf(made))).pages[0].extract_text()

    assert made.stamp.grouped in " ".join(text.split())
    assert "\u200b" not in text
