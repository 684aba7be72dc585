"""Protects the sentences that pages are made of: none, one and many, without a wrong plural or a repeated noun."""

import pytest

from portal.site import sentences
from portal.site.sentences import Clause


def owed(layouts: int, unread: int) -> list[Clause]:
    return [
        Clause(layouts, "layout", "is still owed", "are still owed"),
        Clause(unread, "layout", "cannot be read over its picture", "cannot be read over their pictures"),
    ]


@pytest.mark.parametrize(
    ("layouts", "unread", "says"),
    [
        (0, 0, "Nothing stands between this brief and the lock."),
        (1, 0, "One layout is still owed. Nothing else stands between this brief and the lock."),
        (
            3,
            1,
            "Three layouts are still owed, and one cannot be read over its picture. "
            "Nothing else stands between this brief and the lock.",
        ),
        (
            0,
            2,
            "Two layouts cannot be read over their pictures. Nothing else stands between this brief and the lock.",
        ),
    ],
)
def test_standing_says_none_one_and_many(layouts, unread, says):
    assert sentences.standing(owed(layouts, unread)) == says


def test_told_names_a_noun_again_after_another():
    clauses = [
        Clause(2, "layout", "is owed", "are owed"),
        Clause(1, "recipe", "is not confirmed", "are not confirmed"),
        Clause(1, "layout", "is too small", "are too small"),
    ]
    assert sentences.told(clauses) == "Two layouts are owed, one recipe is not confirmed, and one layout is too small."


def test_told_of_nothing_is_empty():
    assert sentences.told(owed(0, 0)) == ""


def test_told_leaves_no_trace_of_what_counts_nothing():
    clauses = [Clause(1, "mockup", "is owed", "are owed"), *owed(0, 1)]
    assert sentences.told(clauses) == "One mockup is owed, and one layout cannot be read over its picture."


@pytest.mark.parametrize(
    ("n", "words"),
    [(0, "no layouts"), (1, "one layout"), (2, "two layouts"), (12, "twelve layouts"), (13, "13 layouts")],
)
def test_count_is_in_words_to_twelve(n, words):
    assert sentences.count(n, "layout") == words


def test_count_past_a_thousand_keeps_its_digits_together():
    assert sentences.count(1204, "layout") == "1\u202f204 layouts"


@pytest.mark.parametrize(
    ("noun", "many"),
    [
        ("box", "boxes"),
        ("dish", "dishes"),
        ("berry", "berries"),
        ("day", "days"),
        ("brush", "brushes"),
        ("bus", "buses"),
    ],
)
def test_regular_nouns_take_their_plural(noun, many):
    assert sentences.count(2, noun) == f"two {many}"


def test_an_irregular_plural_is_given():
    assert sentences.count(3, "person", "people") == "three people"


@pytest.mark.parametrize(
    ("parts", "text"),
    [
        ([], ""),
        (["salt"], "salt"),
        (["salt", "oil"], "salt and oil"),
        (["salt", "", "oil", "figs"], "salt, oil and figs"),
    ],
)
def test_joined(parts, text):
    assert sentences.joined(parts) == text


def test_joined_with_another_word():
    assert sentences.joined(["hire", "buy"], "or") == "hire or buy"


@pytest.mark.parametrize(
    ("done", "total", "says"),
    [
        (0, 0, "There are no layouts yet."),
        (0, 1, "The layout is not in."),
        (1, 1, "The layout is in."),
        (0, 2, "Neither of the two layouts is in."),
        (2, 2, "Both layouts are in."),
        (0, 6, "None of the six layouts is in."),
        (1, 6, "One of six layouts is in."),
        (5, 6, "Five of six layouts are in."),
        (6, 6, "All six layouts are in."),
    ],
)
def test_part(done, total, says):
    assert sentences.part(done, total, "layout", "in") == says


@pytest.mark.parametrize(
    ("n", "says"),
    [(0, "Nothing waits for you."), (1, "One thing waits for you."), (4, "Four things wait for you.")],
)
def test_waits(n, says):
    assert sentences.waits(n) == says


@pytest.mark.parametrize(
    ("text", "says"), [("three are in", "Three are in."), ("really?", "Really?"), ("  ", ""), ("Done.", "Done.")]
)
def test_sentence(text, says):
    assert sentences.sentence(text) == says


def test_digest_stands_in_groups_of_four():
    assert sentences.digest_groups("9c41e07b52aa") == "9c41 e07b 52aa"
    assert sentences.digest_groups("9c41e07b52aa", groups=2) == "9c41 e07b"


def test_a_language_without_a_grammar_of_its_own_speaks_english():
    assert sentences.count(2, "layout", language="xx") == "two layouts"
