"""Sheets for the tests of papers."""

from datetime import date

from portal.papers.sheet import Column, Part, Sheet, Stamp

DIGEST = "9c41e07b" * 8
COLUMNS = (
    Column("Prop", width=26),
    Column("Quantity", "number", 8),
    Column("From", width=22),
    Column("Due", "date", 13),
    Column("Note", below=True),
)
PLATE = ("Stoneware plate, 24 cm", 2, "Potter in the village", date(2027, 2, 3), "Ŵŷ, breakable")
JUG = ("Syrup jug", 12, "", None, "")


def sheet(*rows, draft=False, notice="", cautions=(), total=None, tick=True):
    """A list with these rows, of version 2, or of the draft."""
    words = "DRAFT" if draft else "version 2, locked"
    address = "http://localhost:8000/c/abcdefghjkmn/brief/2/"
    return Sheet(
        campaign="Oatlock, slow mornings",
        code="OAT-27",
        title="Props",
        subtitle="All shots, due soonest first",
        parts=(Part("To bring", COLUMNS, tuple(rows), total=total, tick=tick),),
        stamp=Stamp(words, DIGEST, draft, address),
        cautions=cautions,
        notice=notice,
    )
