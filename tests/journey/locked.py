"""What holds of a draft and of a locked brief: stamps on pages and lists, and why nothing can be edited."""

import re

from playwright.sync_api import expect

from tests.browser.watching import Person
from tests.journey import stylist
from tests.journey.photographer import opens_shot
from tests.journey.stylist import FOOD, PROPS, Lists


def are_a_draft(lists: Lists) -> None:
    """Every file has what was listed, the totals and the word DRAFT."""
    assert sorted(lists.pdf) == ["food PDF for A4", "food for Letter", "props PDF for A4", "props for Letter"]
    for name, text in lists.pdf.items():
        assert "DRAFT" in text, name
        for listed in (FOOD if name.startswith("food") else PROPS).values():
            assert listed in re.sub(r"\s+", " ", text), name
    assert all("draft" in name for name in lists.names), lists.names
    food, props = (_flat(lists.xlsx[what]) for what in ("food", "props"))
    assert FOOD[1] in food
    assert 24 in food
    assert PROPS[1] in props
    assert sum(stylist.QUANTITY.values()) in props
    assert any("DRAFT" in str(cell) for cell in food)
    food, props = (_flat(lists.csv[what]) for what in ("food", "props"))
    assert {FOOD[1], FOOD[2], "24", "2027-02-20"} <= set(food)
    assert {PROPS[1], "3", "2", "2027-02-19", "2027-02-27"} <= set(props)
    assert any("DRAFT" in cell for cell in food)


def is_locked(me: Person) -> str:
    """The page says so, and by whom; what of the digest stands on every sheet."""
    me.section("Where it stands")
    expect(me.page.get_by_role("heading", level=1)).to_have_text(
        re.compile(r"^The brief is locked as version 1, signed by .*Maren Holloway.*\.$")
    )
    says = me.page.locator(".head-standing").inner_text()
    match = re.fullmatch(r"version 1, locked, ([0-9a-f]{4} [0-9a-f]{4})", says)
    assert match, says
    me.section("Brief")
    expect(me.page.get_by_role("main")).to_contain_text(match[1])
    expect(me.page.get_by_role("main")).not_to_contain_text("DRAFT")
    return match[1]


def carry(lists: Lists, stamp: str) -> None:
    """Number and digest on every sheet, and no DRAFT."""
    files = {
        **lists.pdf,
        **{what: " ".join(map(str, _flat(rows))) for what, rows in lists.xlsx.items()},
        **{f"{what} csv": " ".join(_flat(rows)) for what, rows in lists.csv.items()},
    }
    for name, text in files.items():
        assert "DRAFT" not in text, name
        assert "version 1" in text.lower(), name
        assert stamp.replace(" ", "") in re.sub(r"\s+", "", text), name
    assert all("v1" in name for name in lists.names), lists.names


def says_why_not(me: Person) -> None:
    """No page offers to edit, and an address that was kept says the reason."""
    opens_shot(me, 1)
    main = me.page.get_by_role("main")
    expect(main).to_contain_text("The brief is locked as version 1.")
    for name in ("Add hero food", "Add a prop", "Edit Oat pancake stack"):
        expect(main.get_by_role("link", name=name)).to_have_count(0)
    with me.refused(409):
        me.open(me.page.url.split("#")[0].removeprefix(me.address) + "food/add/")
    expect(me.page.get_by_role("heading", level=1)).to_contain_text("The brief is locked as version 1.")


def _flat(rows: list) -> list:
    return [cell for row in rows for cell in row if cell not in (None, "")]
