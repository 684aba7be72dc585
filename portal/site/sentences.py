"""Sentences made from counts: none, one and many, each in words that a person would say. Knows no Django.

The grammar of a language (numbers in words, plural forms, joining, how a standing is closed) is a class here; the words
of a clause come from its caller. gettext alone can choose a plural form but cannot join clauses, leave out a repeated
noun or begin a sentence with a number in words, so plain functions do that: a second language adds one class to
`LANGUAGES`, and its callers pass what gettext gives them.
"""

from collections.abc import Sequence
from dataclasses import dataclass


class English:
    """English as the pages speak it: numbers in words to twelve, no comma before the last "and"."""

    NUMBERS = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]
    NOTHING = "Nothing stands between this brief and the lock."
    NOTHING_ELSE = "Nothing else stands between this brief and the lock."

    def form(self, n: int) -> int:
        """The index of the plural form for `n`."""
        return 0 if n == 1 else 1

    def number(self, n: int) -> str:
        return self.NUMBERS[n] if 0 <= n < len(self.NUMBERS) else f"{n:,}".replace(",", "\u202f")

    def plural(self, one: str) -> str:
        """The plural of a regular noun."""
        if one.endswith(("s", "x", "ch", "sh")):
            return f"{one}es"
        if one.endswith("y") and one[-2:-1] not in "aeiou":
            return f"{one[:-1]}ies"
        return f"{one}s"

    def joined(self, parts: Sequence[str], last: str) -> str:
        if len(parts) < 2:
            return "".join(parts)
        return f"{', '.join(parts[:-1])} {last} {parts[-1]}"

    def clauses(self, parts: Sequence[str]) -> str:
        """Whole clauses in one sentence: a comma goes before "and", for each has a verb of its own."""
        if len(parts) < 2:
            return "".join(parts)
        return f"{', '.join(parts[:-1])}, and {parts[-1]}"

    def all_of(self, total: int, nouns: str, verb: str, state: str) -> str:
        return f"both {nouns} {verb} {state}" if total == 2 else f"all {self.number(total)} {nouns} {verb} {state}"

    def none_of(self, total: int, nouns: str, state: str) -> str:
        return (
            f"neither of the two {nouns} is {state}"
            if total == 2
            else f"none of the {self.number(total)} {nouns} is {state}"
        )


LANGUAGES = {"en": English()}


def _language(code: str) -> English:
    return LANGUAGES.get(code.split("-")[0], LANGUAGES["en"])


@dataclass(frozen=True)
class Clause:
    """`n` things and what is said of them: Clause(3, "layout", "is still owed", "are still owed").

    `one`, `many`: what is said of one and of more than one. `plural`: of a noun that is not regular.
    """

    n: int
    noun: str
    one: str
    many: str
    plural: str = ""


def number(n: int, language: str = "en") -> str:
    """`n` in words to twelve, then in figures; 0 is "no"."""
    return _language(language).number(n)


def count(n: int, one: str, many: str = "", language: str = "en") -> str:
    """ "no layouts", "one layout", "three layouts", "14 layouts"; `many` for a plural that is not regular."""
    lang = _language(language)
    return f"{lang.number(n)} {(one, many or lang.plural(one))[lang.form(n)]}"


def joined(parts: Sequence[str], last: str = "and", language: str = "en") -> str:
    """ "a", "a and b", "a, b and c"; nothing for none."""
    return _language(language).joined([part for part in parts if part], last)


def sentence(text: str) -> str:
    """`text` with a capital first letter and a full stop, unless it ends in a stop of its own."""
    text = text.strip()
    if not text:
        return ""
    return text[0].upper() + text[1:] + ("" if text[-1] in ".?!…" else ".")


def told(clauses: Sequence[Clause], language: str = "en") -> str:
    """One sentence of all clauses that count something; empty where none does.

    A noun that the clause before has named is left out: "Three layouts are still owed, and one cannot be read."
    """
    lang = _language(language)
    parts, named = [], ""
    for clause in clauses:
        if clause.n <= 0:
            continue
        who = lang.number(clause.n) if clause.noun == named else count(clause.n, clause.noun, clause.plural, language)
        parts.append(f"{who} {(clause.one, clause.many)[lang.form(clause.n)]}")
        named = clause.noun
    return sentence(lang.clauses(parts))


def standing(clauses: Sequence[Clause], language: str = "en") -> str:
    """What still stands between a brief and its lock, and that nothing else does."""
    lang = _language(language)
    said = told(clauses, language)
    return f"{said} {lang.NOTHING_ELSE}" if said else lang.NOTHING


def part(done: int, total: int, noun: str, state: str, plural: str = "", language: str = "en") -> str:
    """How far it is: "None of the six layouts is in.", "Five of six layouts are in.", "All six layouts are in."

    `total` of 0 says "There are no layouts yet."; of 1 "The layout is in." or "The layout is not in."
    """
    lang = _language(language)
    nouns = plural or lang.plural(noun)
    if total <= 0:
        return f"There are no {nouns} yet."
    if total == 1:
        return sentence(f"the {noun} is {'' if done else 'not '}{state}")
    if done <= 0:
        return sentence(lang.none_of(total, nouns, state))
    if done >= total:
        return sentence(lang.all_of(total, nouns, "are", state))
    return sentence(f"{lang.number(done)} of {lang.number(total)} {nouns} {'is' if done == 1 else 'are'} {state}")


def waits(n: int, language: str = "en") -> str:
    """What a person finds first: "Nothing waits for you.", "One thing waits for you.", "Four things wait for you." """
    if n <= 0:
        return "Nothing waits for you."
    return sentence(f"{count(n, 'thing', language=language)} {'waits' if n == 1 else 'wait'} for you")


def digest_groups(digest: str, groups: int = 0) -> str:
    """A digest as people compare it, in groups of four: "9c41 e07b …"; `groups` of 0 shows all."""
    every = [digest[at : at + 4] for at in range(0, len(digest), 4)]
    if not groups or groups >= len(every):
        return " ".join(every)
    return " ".join(every[:groups])
