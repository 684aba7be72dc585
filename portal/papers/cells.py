"""Texts as the cells of spreadsheets may hold them."""

# OWASP, "CSV Injection": a cell that begins with one of these is taken for a formula by spreadsheet programs.
FORMULA = ("=", "+", "-", "@", "\t", "\r")
# Full-width forms that some spreadsheet programs read as the same.
FORMULA_WIDE = ("＝", "＋", "－", "＠")
_CONTROLS = {code: None for code in range(32) if chr(code) not in "\t\n\r"} | {127: None}


def printable(text: str) -> str:
    """Without control characters, which neither print nor stand in XML."""
    return text.translate(_CONTROLS)


def harmless(text: str) -> str:
    """A text that no spreadsheet program runs as a formula: one that looks like one gets an apostrophe before it.

    Source: OWASP, "CSV Injection" (cells that begin with = + - @, tab or carriage return). Spaces before the sign are
    looked through, as some programs strip them, and a line feed is treated like a carriage return.
    """
    begins = text.lstrip(" \u00a0\u202f")
    return f"'{text}" if begins.startswith((*FORMULA, *FORMULA_WIDE, "\n")) else text
