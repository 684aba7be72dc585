"""Protects the diff of two documents: applied to the old one it gives the new one, and a reorder is nothing more."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from portal.record.canonical import canonical
from portal.record.diff import Difference, Item, apply, diff

TEXT = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=6)
PLAIN = st.none() | st.booleans() | st.integers(-9, 9) | st.floats(-2, 2, width=16) | TEXT
KEYS = st.sampled_from(["a", "b", "c", "number", "title"])
IDS = st.sampled_from([f"i{n}" for n in range(9)])


def items(values):
    """Lists whose items have ids of their own."""
    held = st.dictionaries(IDS, st.dictionaries(KEYS, values, max_size=3), max_size=7)
    return held.map(lambda found: [{"id": id, **item} for id, item in found.items()])


DATA = st.recursive(
    PLAIN,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=4) | items(inner),
    max_leaves=25,
)
DOCUMENTS = st.dictionaries(KEYS, DATA | items(DATA), max_size=4)


@given(DOCUMENTS, DOCUMENTS)
@settings(max_examples=400, deadline=None)
def test_applied_to_the_old_document_it_gives_the_new_one(old, new):
    kept = canonical(old)
    assert canonical(apply(old, diff(old, new))) == canonical(new)
    assert canonical(old) == kept


@given(DATA, DATA)
@settings(max_examples=200, deadline=None)
def test_it_holds_for_data_of_any_kind(old, new):
    assert canonical(apply(old, diff(old, new))) == canonical(new)
    assert (diff(old, new) == []) is (canonical(old) == canonical(new))


@given(DOCUMENTS)
def test_a_document_does_not_differ_from_itself(document):
    assert diff(document, apply(document, [])) == []


@given(items(PLAIN), st.randoms(use_true_random=False))
def test_a_reorder_is_moves_and_nothing_else(rows, chance):
    turned = list(rows)
    chance.shuffle(turned)
    found = diff({"shots": rows}, {"shots": turned})
    assert {one.kind for one in found} <= {"moved"}
    assert len(found) < max(len(rows), 1)
    assert apply({"shots": rows}, found) == {"shots": turned}


def rows(order):
    return [{"id": id, "n": id} for id in order]


@pytest.mark.parametrize(
    ("old", "new", "moved"),
    [
        ("abcd", "dabc", {"d": None}),  # one is taken from the end to the front: one move, not four
        ("abcd", "bcda", {"a": "d"}),
        ("abcd", "acbd", {"b": "c"}),
        ("abcd", "abcd", {}),
    ],
)
def test_no_more_move_than_must(old, new, moved):
    found = diff(rows(old), rows(new))
    assert {one.path[0].id: one.after for one in found} == moved


def test_each_kind_says_what_was_and_what_is():
    old = {"campaign": {"media": "Posters"}, "shots": [{"id": "a", "title": "Stack"}, {"id": "b", "title": "Bowl"}]}
    new = {"campaign": {"media": "Screens", "about": None}, "shots": [{"id": "c"}, {"id": "b", "title": "Deep bowl"}]}
    assert diff(old, new) == [
        Difference("added", ("campaign", "about"), now=None),
        Difference("changed", ("campaign", "media"), was="Posters", now="Screens"),
        Difference("removed", ("shots", Item("a")), was={"id": "a", "title": "Stack"}),
        Difference("added", ("shots", Item("c")), now={"id": "c"}, after=None),
        Difference("changed", ("shots", Item("b"), "title"), was="Bowl", now="Deep bowl"),
    ]


@pytest.mark.parametrize(
    ("old", "new", "differs"), [(1, 1.0, False), (1, True, True), ([0], [False], True), (0, None, True)]
)
def test_numbers_are_compared_as_their_canonical_form_and_truth_is_no_number(old, new, differs):
    assert bool(diff({"a": old}, {"a": new})) is differs


@pytest.mark.parametrize(
    "wrong",
    [
        Difference("changed", ("a", "b", "c"), now=1),
        Difference("removed", ("gone",)),
        Difference("changed", ("rows", Item("z"), "n"), now=1),
        Difference("changed", ("rows", "key"), now=1),
        Difference("changed", ("a", Item("x")), now=1),
        Difference("changed", ("plain", Item("x"), "n"), now=1),
    ],
)
def test_differences_of_another_document_are_refused(wrong):
    with pytest.raises(ValueError):  # noqa: PT011  each has a sentence of its own
        apply({"a": {"b": 1}, "rows": rows("ab"), "plain": [1, 2]}, [wrong])
