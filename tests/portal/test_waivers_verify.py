"""Protects that an edit of a waiver straight in the database is found, and that a waiver goes with its archive."""

import re

import pytest

from portal.brief.models import Campaign
from portal.models import Waiver
from portal.sealing import carried
from portal.sealing.verify import prove
from portal.waivers import actions
from tests.portal.conftest import again
from tests.portal.test_waivers_actions import WHY, finding
from tests.portal.test_waivers_actions import finds as finds_fixture

finds = finds_fixture

_OF_ANY_ROW = re.compile(r"^(it is not as )?entry \d+ of the log")


@pytest.fixture
def waived(people, finds):
    finds(finding(), finding(says="Another."))
    back = actions.give(again(people.client), finding(says="Another.").key, typed_name="Ben Lee", reason=WHY)
    actions.take_back(again(people.photographer), back.key)
    # As from a page: with the word of its form.
    return actions.give(again(people.client), finding().key, typed_name="Ben Lee", reason=WHY, once="a-form")


def breaks(campaign):
    """What the log of waivers finds; that a row is not as an entry left it is found besides."""
    found = prove(Campaign.objects.get(pk=campaign.pk)).breaks
    return [says for where, says in found if where.startswith("waiver") and not _OF_ANY_ROW.search(says)]


def test_untouched_waivers_hold(people, waived):
    assert breaks(people.campaign) == []


@pytest.mark.parametrize(("changed", "says"), [
    ({"reason": "Because."}, "it does not say what the log has"),
    ({"says": "Nothing much."}, "it does not say what the log has"),
    ({"typed_name": "Ida Moss"}, "it does not say what the log has"),
    ({"finding": "0" * 64}, "it does not say what the log has"),
    ({"given_at": "2026-01-01T00:00Z"}, "its time is not the one that the log has"),
    ({"withdrawn_at": "2027-01-01T00:00Z"}, "the log does not know that it was taken back"),
    ({"key": "zzzzzzzzzzzz"}, "the log does not know it"),
])  # fmt: skip
def test_an_edit_in_the_database_is_found(people, waived, changed, says):
    Waiver.objects.filter(pk=waived.pk).update(**changed)
    assert says in breaks(people.campaign)


def test_another_giver_a_waiver_that_is_gone_and_one_that_was_put_back_are_found(people, waived):
    Waiver.objects.filter(pk=waived.pk).update(given_by=people.photographer)
    Waiver.objects.exclude(pk=waived.pk).update(withdrawn_at=None, withdrawn_by=None)
    assert breaks(people.campaign) == [
        "it was taken back, as the log has it",
        "it was given by somebody else, as the log has it",
    ]
    Waiver.objects.all().delete()
    assert breaks(people.campaign) == ["the log knows it, and it is gone"] * 2


def test_waivers_are_among_what_an_archive_carries(people, waived):
    assert Waiver in carried.tables()
    rows = carried.Rows(Campaign.objects.get(pk=people.campaign.pk), set())
    assert {row.pk for row in rows.of(Waiver)} == set(Waiver.objects.values_list("pk", flat=True))
