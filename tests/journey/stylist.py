"""What the stylist does: lists hero food and props, mends a row, takes both lists as PDF, XLSX and CSV."""

import csv
import io
import re
from dataclasses import dataclass
from pathlib import Path

import openpyxl
import pypdf
from playwright.sync_api import expect

from tests.browser.watching import Person
from tests.journey.photographer import opens_shot

FOOD = {1: "Oat pancake stack", 2: "Oat porridge"}
PROPS = {1: "Linen napkin, undyed", 2: "Linen napkin, undyed"}
QUANTITY = {1: 3, 2: 2}


def lists_food(me: Person, number: int) -> None:
    opens_shot(me, number)
    me.go("Add hero food")
    form = me.page.locator("#food form")
    for label, value in {
        "Food": FOOD[number],
        "Heroes": "2",
        "Stand-ins": "1",
        "Backups": "12",
        "Supplier": "Test kitchen",
        "Holds": "12",
        "Recipe version": "4.2",
        "Preparation": "Griddle at 180 °C, stack cold.",
        "Handling": "The griddle is hot: gloves.",
    }.items():
        me.write(label, value, within=form)
    form.get_by_label("Recipe", exact=False).first.fill(FOOD[number])
    form.get_by_label("Needed by").fill("2027-02-20")
    for allergen in ("milk", "eggs"):
        form.get_by_role("checkbox", name=re.compile(allergen, re.I)).first.check()
    me.press("Add it", within=form)
    expect(me.page.locator("#food").get_by_role("rowheader", name=FOOD[number])).to_be_visible()


def lists_props(me: Person, number: int) -> None:
    me.go("Add a prop")
    form = me.page.locator("#props form")
    me.write("Prop", PROPS[number], within=form)
    me.write("Quantity", str(QUANTITY[number]), within=form)
    me.write("From", "Prop house", within=form)
    form.get_by_label("Hire, buy or own").select_option("hire")
    form.get_by_label("Due").fill("2027-02-19")
    form.get_by_label("Goes back").fill("2027-02-27")
    me.press("Add it", within=form)
    expect(me.page.locator("#props").get_by_role("rowheader", name=PROPS[number])).to_be_visible()


def mends_a_row(me: Person) -> None:
    """More backups than were first thought of; a slip is refused with a sentence, and nothing typed is lost."""
    me.section("Food and props")
    me.go(f"Edit {FOOD[1]}")
    form = me.page.locator("#food form[method=post]").filter(has=me.page.get_by_role("button", name="Keep it"))
    me.write("Backups", "99999", within=form)
    with me.refused(422):
        me.press("Keep it", within=form)
    expect(form.get_by_label("Backups")).to_have_value("99999")
    expect(me.page.get_by_text("Give a number up to 9999.").first).to_be_visible()
    me.write("Backups", "24", within=form)
    me.press("Keep it", within=form)
    expect(me.page.get_by_role("row").filter(has_text=FOOD[1]).first).to_contain_text("24")


def asks_the_client(me: Person) -> None:
    me.section("Food and props")
    for food in FOOD.values():
        me.press(f"Ask the client about {food}")
    expect(me.page.get_by_text("client asked, not confirmed yet")).to_have_count(2)


@dataclass
class Lists:
    """Both lists as they were taken: text of the PDF, the rows of all sheets, the file's rows."""

    pdf: dict[str, str]
    xlsx: dict[str, list[tuple]]
    csv: dict[str, list[list[str]]]
    names: list[str]


def takes_the_lists(me: Person, folder: Path) -> Lists:
    me.section("Food and props")
    taken = Lists({}, {}, {}, [])
    for what, title in (("food", "Hero food"), ("props", "Props")):
        section = me.page.locator(f"#{what}")
        expect(section.get_by_role("heading", level=2)).to_have_text(title)
        for link in ("PDF for A4", "for Letter", "XLSX", "CSV"):
            with me.page.expect_download() as coming:
                section.get_by_role("link", name=link, exact=True).click()
            path = folder / f"{what} {link} {coming.value.suggested_filename}"
            coming.value.save_as(path)
            taken.names.append(coming.value.suggested_filename)
            _read(taken, what, link, path)
    return taken


def _read(taken: Lists, what: str, link: str, path: Path) -> None:
    if path.suffix == ".pdf":
        pages = pypdf.PdfReader(path).pages
        width, height = (float(side) for side in pages[0].mediabox[2:])
        # ISO 216: A4 is 210 x 297 mm; Letter is 8.5 x 11 inches. Either may lie on its side. 72 points an inch.
        long, short = max(width, height), min(width, height)
        wanted = (297 / 25.4 * 72, 210 / 25.4 * 72) if "A4" in link else (11 * 72, 8.5 * 72)
        assert abs(long - wanted[0]) < 1, (link, width, height)
        assert abs(short - wanted[1]) < 1, (link, width, height)
        taken.pdf[f"{what} {link}"] = "\n".join(page.extract_text() for page in pages)
    elif path.suffix == ".xlsx":
        sheets = openpyxl.load_workbook(path).worksheets
        taken.xlsx[what] = [row for sheet in sheets for row in sheet.iter_rows(values_only=True)]
    else:
        taken.csv[what] = list(csv.reader(io.StringIO(path.read_text(encoding="utf-8-sig"))))
