"""What the designer does: drops many files, answers what is asked, mends what is refused, sends a newer revision."""

import re
from pathlib import Path

from playwright.sync_api import Locator, expect

from tests.browser.watching import Person
from tests.journey.files import DOUBTFUL, WRONG, Layouts

# Long enough for every file to be inspected on a machine that is busy with something else.
CHECKED_MS = 300_000


def drops(me: Person, paths: list[Path]) -> None:
    """Send files by the page's own drop field, as many as there are."""
    me.page.get_by_label("Drop the layout files here").set_input_files(paths)
    expect(me.page.locator("file-drop").get_by_role("listitem")).to_have_count(len(paths))
    me.press("Send the files")


def drops_all(me: Person, layouts: Layouts) -> None:
    """Everything at once: all are placed but one that is asked about and one of the wrong shape."""
    me.section("Layouts")
    wrong = layouts.ordered[WRONG]
    drops(me, [*(path for path in layouts.ordered.values() if path != wrong), layouts.doubtful, layouts.square])
    refused = me.page.get_by_role("region", name="Refused")
    expect(refused).to_contain_text(layouts.square.name)
    expect(refused).to_contain_text("3543 × 3543")
    asked = me.page.get_by_role("region", name="Which placement is it for?")
    expect(asked).to_contain_text(layouts.doubtful.name)


def sees_them_checked(me: Person) -> None:
    """The page says so by itself, without being loaded again."""
    me.page.evaluate("window.notLoadedAgain = true")
    expect(me.page.get_by_text("All layouts have been checked.").first).to_be_attached(timeout=CHECKED_MS)
    assert me.page.evaluate("window.notLoadedAgain")
    me.clean()


def answers_the_question(me: Person) -> None:
    shot, format_, _ = DOUBTFUL
    asked = me.page.get_by_role("region", name="Which placement is it for?")
    asked.get_by_role("radio", name=f"Shot {shot}, {format_}, Welsh").check()
    me.press("That is its place", within=asked)
    expect(asked).to_have_count(0)


def line(me: Person, shot: int, words: str) -> Locator:
    """A placement's row in the table of its shot."""
    table = me.page.get_by_role("table", name=re.compile(f"^{shot} "))
    head = me.page.get_by_role("rowheader", name=re.compile(f"^{re.escape(words)}$"))
    return table.get_by_role("row").filter(has=head)


def sends_the_right_one(me: Person, layouts: Layouts) -> None:
    """To the placement whose file was refused, from its own line."""
    row = line(me, WRONG[0], "6-sheet British English")
    row.get_by_text("Send its file").click()
    row.get_by_label("File for 6-sheet").set_input_files(layouts.ordered[WRONG])
    me.press("Send", within=row)
    expect(me.page.get_by_role("table", name="Revisions, newest first")).to_contain_text("1, current")
    expect(me.page.get_by_text("Nothing wrong with it.")).to_be_visible(timeout=CHECKED_MS)
    me.section("Layouts")
    expect(line(me, WRONG[0], "6-sheet British English")).to_contain_text("revision 1")


def sends_a_newer_revision(me: Person, layouts: Layouts) -> None:
    """Dropped with no word of its placement: its name says it. The one before stays."""
    drops(me, [layouts.newer])
    row = line(me, 1, "96-sheet British English")
    expect(row).to_contain_text("revision 2")
    expect(row).to_contain_text(layouts.newer.name)
    me.go("96-sheet", within=row)
    older = me.page.get_by_role("table", name="Revisions, newest first")
    expect(older.get_by_role("rowheader")).to_have_text(["2, current", "1"])
    me.section("Layouts")


def is_told_that_it_is_locked(me: Person, layouts: Layouts) -> None:
    """A page that was left open still has its field: what is sent by it is refused with the reason, and not lost."""
    me.page.get_by_label("Drop the layout files here").set_input_files(layouts.newer)
    with me.refused(409):
        me.press("Send the files")
        expect(me.page.get_by_text("The brief is locked as version 1.").first).to_be_visible()
    expect(me.page.locator("file-drop").get_by_role("listitem")).to_contain_text(layouts.newer.name)
