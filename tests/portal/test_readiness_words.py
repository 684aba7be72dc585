"""Protects what "Where it stands" says: none, one and many, what closes the sentence, and who is named for what."""

import pytest

from portal.access import Role
from portal.brief import sections, stands
from portal.brief.finding import Finding
from portal.brief.sections import Section
from tests.factories import CampaignFactory, MemberFactory, UserFactory


@pytest.fixture
def worded(monkeypatch):
    """Two kinds with words: layouts owed, and layouts that cannot be read."""
    kinds = {
        "owed": ("layout", "is still owed", "are still owed"),
        "unread": ("layout", "cannot be read over its picture", "cannot be read over their pictures"),
    }
    section = Section("layouts", "Layouts", 1, lambda _: [], "", kinds=kinds)
    monkeypatch.setattr(sections, "_sections", {"layouts": section})


def found(kind, count=1, level="must-fix", says="", roles=(Role.DESIGNER,)):
    return [
        Finding(level, says or f"{kind} {n}", f"What {n}", "wants it", roles, f"/{kind}/{n}", kind)
        for n in range(count)
    ]


@pytest.mark.parametrize(
    ("findings", "says"),
    [
        ([], "Nothing stands between this brief and the lock."),
        (found("owed"), "One layout is still owed. Nothing else stands between this brief and the lock."),
        (
            found("owed", 3) + found("unread"),
            "Three layouts are still owed, and one cannot be read over its picture. "
            "Nothing else stands between this brief and the lock.",
        ),
        (
            found("light", says="The light of shot 1 names no key."),
            "The light of shot 1 names no key. Nothing else stands between this brief and the lock.",
        ),
        (
            found("light", 6, says="The light of shot 1 names no key."),
            "The light of shot 1 names no key, and five more like it. "
            "Nothing else stands between this brief and the lock.",
        ),
        (
            found("owed", 2) + found("a") + found("b") + found("c", 4),
            "Two layouts are still owed. A 0. B 0. Four other things stand between this brief and the lock.",
        ),
        (found("owed", 2, level="worth-a-look"), "Nothing stands between this brief and the lock."),
    ],
)  # fmt: skip
def test_the_lead_says_what_must_be_fixed(worded, findings, says):
    assert stands.lead(findings) == says


def test_a_lead_stays_short_enough_to_be_read_at_a_glance(worded):
    long = (
        "The usage terms say neither where the pictures will run, nor for how long, nor in which media they are seen."
    )
    said = stands.lead(found("x", says=long) + found("y", says=long) + found("owed", 2))
    assert said == f"{long} Three other things stand between this brief and the lock."


@pytest.fixture
def crowd(db):
    campaign = CampaignFactory()
    seats = [
        MemberFactory(campaign=campaign, role=role, user=UserFactory(name=name))
        for role, name in [
            (Role.DESIGNER, "Nell"),
            (Role.AGENCY, "Ana"),
            (Role.PHOTOGRAPHER, "Ida"),
            (Role.AGENCY, "Tom"),
        ]
    ]
    return dict(zip(["designer", "agency", "photographer", "second"], seats, strict=True))


def test_what_must_be_fixed_comes_first_and_the_readers_own_before_others(crowd):
    findings = [
        *found("look", level="worth-a-look", roles=(Role.DESIGNER,)),
        *found("theirs", roles=(Role.AGENCY,)),
        *found("mine", roles=(Role.DESIGNER,)),
    ]
    rows = stands.lines(findings, crowd["designer"], crowd.values())
    assert [(row.url, row.must, row.mine) for row in rows] == [
        ("/mine/0", True, True),
        ("/theirs/0", True, False),
        ("/look/0", False, True),
    ]


@pytest.mark.parametrize(
    ("roles", "who"),
    [
        ((Role.DESIGNER,), "Nell"),
        ((Role.DESIGNER, Role.PHOTOGRAPHER), "Nell or Ida"),
        ((Role.AGENCY, Role.DESIGNER, Role.PHOTOGRAPHER), "Ana or three others"),
        ((Role.STYLIST,), "food stylist, not yet invited"),
        ((Role.STYLIST, Role.PROPS), "food stylist or props stylist, not yet invited"),
        ((), ""),
    ],
)
def test_who_can_mend_it_is_named(crowd, roles, who):
    (row,) = stands.lines(found("x", roles=roles), crowd["designer"], crowd.values())
    assert row.who == who


def test_when_nothing_must_be_fixed_who_may_is_asked_to_put_it_forward(crowd):
    look = found("look", 2, level="worth-a-look")
    assert (
        stands.next_step(look, crowd["agency"])
        == "Two things are worth a look first. Put it forward to have it signed."
    )
    assert stands.next_step([], crowd["designer"]) == "It waits to be put forward."
    assert stands.next_step(found("owed"), crowd["agency"]) == ""
