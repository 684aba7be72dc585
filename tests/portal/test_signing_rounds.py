"""Protects the price of a further round: said where it matters, and never to who may not see the estimate."""

import json

import pytest
from django.core.exceptions import PermissionDenied
from django.urls import reverse

from portal import access
from portal.access import May
from portal.brief import actions, rounds_section, sections, wording
from portal.sealing import log_queries, story
from portal.sealing.models import LogEntry
from tests.portal.conftest import again
from tests.portal.test_versions_pages import TERMS

PRICE = "four hundred and eighty pounds"


@pytest.fixture
def priced(people, bare, monkeypatch):
    """A campaign with its price, one round included, and the section that holds the price."""
    known = dict(sections._sections)
    monkeypatch.setattr(sections, "_sections", known)
    rounds_section.register()
    actions.settle_terms(again(people.producer), round_price=PRICE, rounds_included=1)
    return people


def page(client, member, name, *args):
    client.force_login(member.user)
    return client.get(reverse(f"portal:{name}", args=[member.campaign.key, *args])).text


def readers(people):
    return [(member, access.may(member, May.SEE_ESTIMATE)) for member in people.all()]


def test_the_price_is_said_before_a_version_goes_past_the_rounds_included(priced, client):
    for _ in range(2):
        assert PRICE not in page(client, priced.producer, "put-forward")
        actions.put_forward(again(priced.producer))
        actions.withdraw(again(priced.producer), reason="Again")
    says = f"round 2 of amends, and one is included: agree first who pays for it. A further round costs {PRICE}."
    assert says in page(client, priced.producer, "put-forward")


def test_without_a_price_none_is_said():
    assert wording.past_rounds(2, 1).endswith("agree first who pays for it.")


@pytest.mark.parametrize("name", ["terms", "brief", "log"])
def test_pages_of_the_draft_show_it_to_who_may_see_the_estimate(priced, client, name):
    # The assistant may not read the draft at all.
    shown = {member.role: PRICE in page(client, member, name) for member, _ in readers(priced)}
    assert shown == {member.role: sees for member, sees in readers(priced)}


def test_a_version_shows_it_to_who_may_see_the_estimate(priced, client):
    version = actions.put_forward(again(priced.producer))
    assert json.loads(version.document)["rounds"] == {"price": PRICE}
    shown = {member.role: PRICE in page(client, member, "version", 1) for member, _ in readers(priced)}
    assert shown == {member.role: sees for member, sees in readers(priced)}


def test_a_change_of_it_is_told_to_who_may_see_the_estimate(priced, client):
    actions.put_forward(again(priced.producer))
    actions.withdraw(again(priced.producer), reason="Again")
    actions.settle_terms(again(priced.producer), round_price="nothing at all")
    actions.put_forward(again(priced.producer))
    shown = {member.role: PRICE in page(client, member, "compare") for member, _ in readers(priced)}
    assert shown == {member.role: sees for member, sees in readers(priced)}


def test_the_log_that_leaves_holds_it_for_who_may_see_the_estimate(priced):
    for member, sees in readers(priced):
        if access.may(member, May.READ_DRAFT):
            assert (PRICE in "".join(story.lines(again(member)))) is sees


def test_a_change_of_terms_and_price_is_two_entries(priced):
    first, second = LogEntry.objects.order_by("sequence")
    assert (first.act, first.payload["now"]) == ("terms.settled", {"rounds_included": 1})
    assert (second.act, second.payload["now"]) == ("terms.round-priced", {"price": PRICE})


def test_whoever_may_not_see_the_estimate_does_not_set_it(priced, monkeypatch):
    grid = {act: dict(row) for act, row in access.TABLE.items()}
    grid[May.SEE_ESTIMATE][priced.producer.role] = "-"
    monkeypatch.setattr(access, "TABLE", grid)
    with pytest.raises(PermissionDenied, match="see the estimate"):
        actions.settle_terms(again(priced.producer), round_price="nothing")
    assert not log_queries.log_for(priced.producer).filter(act="terms.round-priced").exists()


def test_a_form_without_it_leaves_it_as_it_is(priced, client, monkeypatch):
    grid = {act: dict(row) for act, row in access.TABLE.items()}
    grid[May.SEE_ESTIMATE][priced.producer.role] = "-"
    monkeypatch.setattr(access, "TABLE", grid)
    assert PRICE not in page(client, priced.producer, "terms")
    answer = client.post(reverse("portal:terms", args=[priced.campaign.key]), TERMS | {"round_price": "nothing"})
    priced.campaign.refresh_from_db()
    assert (answer.status_code, priced.campaign.media, priced.campaign.round_price) == (302, "Screens", PRICE)
