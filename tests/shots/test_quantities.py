"""Protects the totals across shots: what is added up, what is kept apart, and that nothing is lost."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shots.planning.quantities import Line, Total, normal, totals


def test_the_same_thing_from_the_same_source_is_added_up_by_shot():
    lines = [
        Line("Plate, grey", "Potter", "1", {"quantity": 2}),
        Line("plate,  GREY ", "potter", "3", {"quantity": 1}),
        Line("Plate, grey", "Potter", "3", {"quantity": 4}),
    ]
    assert totals(lines) == [
        Total("Plate, grey", "Potter", "", {"quantity": 7}, {"1": {"quantity": 2}, "3": {"quantity": 5}})
    ]


def test_another_source_or_variant_is_kept_apart():
    lines = [
        Line("Plate", "Potter", "1", {"quantity": 1}, "buy"),
        Line("Plate", "Prop house", "1", {"quantity": 1}, "buy"),
        Line("Plate", "Potter", "1", {"quantity": 1}, "hire"),
    ]
    assert [total.counts for total in totals(lines)] == [{"quantity": 1}] * 3


def test_each_kind_is_added_up_by_itself():
    lines = [Line("Bun", "", "1", {"hero": 3, "backup": 12}), Line("Bun", "", "2", {"hero": 1, "stand_in": 2})]
    assert totals(lines)[0].counts == {"hero": 4, "backup": 12, "stand_in": 2}


def test_a_count_below_none_is_refused():
    with pytest.raises(ValueError, match="below 0"):
        totals([Line("Bun", "", "1", {"hero": -1})])


@pytest.mark.parametrize(
    ("one", "other"),
    # Unicode: compatibility forms (UAX 15) and full case folding (section 3.13) compare equal.
    [
        ("ﬁg", "FIG"),
        ("Crème\u0301", "crème\u0301"),
        ("Straße", "STRASSE"),
        ("a\u00a0b", " a  b "),
        ("Ｂｏｗｌ", "bowl"),
    ],
)
def test_spellings_of_one_name_compare_equal(one, other):
    assert normal(one) == normal(other)


# A busy machine is no failure of the totals.
@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.lists(
        st.builds(
            Line,
            name=st.sampled_from(["Bun", "bun ", "Fig"]),
            source=st.sampled_from(["", "Market"]),
            shot=st.sampled_from(["1", "2", "3"]),
            counts=st.dictionaries(st.sampled_from(["hero", "backup"]), st.integers(0, 50)),
        ),
        max_size=12,
    )
)
def test_nothing_is_lost_and_nothing_invented(lines):
    found = totals(lines)
    asked = sum(sum(line.counts.values()) for line in lines)
    assert sum(sum(total.counts.values()) for total in found) == asked
    assert sum(sum(held.values()) for total in found for held in total.by_shot.values()) == asked
    assert len({(normal(total.name), normal(total.source)) for total in found}) == len(found)
