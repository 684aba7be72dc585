"""Protects the pages of waivers: a signer's way from each must-fix line, what is told of each, few queries."""

import pytest
from django.urls import reverse

from portal.access import Role
from portal.models import Waiver
from portal.waivers import actions
from tests.factories import MemberFactory
from tests.portal.conftest import again
from tests.portal.test_waivers_actions import WHY, finding
from tests.portal.test_waivers_actions import finds as finds_fixture

finds = finds_fixture


def at(name, member, *args):
    return reverse(f"portal:{name}", args=[member.campaign.key, *args])


def way(member, one=None):
    return at("waive", member, (one or finding()).key[:16])


@pytest.fixture
def waived(people, finds):
    finds(finding())
    return actions.give(people.client, finding().key, typed_name="Ben Lee", reason=WHY)


def test_each_line_that_can_be_waived_leads_a_signer_there_and_nobody_else(people, finds, sign_in):
    finds(finding(), finding(says="No shots.", url="/shots/", waivable=False))
    signer = sign_in(people.client).get(at("campaign", people.client)).text
    assert signer.count("Waive it</a>") == 1
    assert f'href="{way(people.client)}"' in signer
    for other in (people.agency, people.designer, people.stylist):
        assert "Waive it" not in sign_in(other).get(at("campaign", other)).text
    people.agency.may_sign = True
    people.agency.save()
    assert f'href="{way(people.agency)}"' in sign_in(people.agency).get(at("put-forward", people.agency)).text


def test_waiving_by_the_page_needs_no_script_and_asks_for_name_and_reason(people, finds, sign_in):
    finds(finding())
    browser = sign_in(people.client)
    page = browser.get(way(people.client)).text
    assert finding().says in page
    assert f'value="{finding().key}"' in page
    refused = browser.post(way(people.client), {"finding": finding().key, "reason": "Kept words", "typed_name": ""})
    assert (refused.status_code, Waiver.objects.count()) == (422, 0)
    assert "Kept words" in refused.text
    told = {"finding": finding().key, "reason": WHY, "typed_name": "Ben Lee"}
    assert browser.post(way(people.client), told).status_code == 302
    assert browser.post(way(people.client), told).status_code == 302
    assert Waiver.objects.get().reason == WHY


def test_what_changed_while_it_was_read_is_refused_in_a_sentence(people, finds, sign_in):
    finds(finding(says="Two faults."))
    told = {"finding": finding().key, "reason": WHY, "typed_name": "Ben Lee"}
    answer = sign_in(people.client).post(way(people.client), told)
    assert (answer.status_code, Waiver.objects.count()) == (422, 0)
    assert "not found any more as you read it" in answer.text
    gone = sign_in(people.client).get(way(people.client), follow=True)
    assert "is not found any more, or is waived already" in gone.text


def test_the_first_page_and_put_forward_list_what_is_waived_apart_by_name_and_reason(people, waived, sign_in):
    first = sign_in(people.designer).get(at("campaign", people.designer)).text
    assert "Nothing stands between this brief and the lock. One thing is waived by a signer." in first
    said = "waived by Ben Lee: The client&#x27;s own studio sends it after the shoot."
    assert first.index("Waived</h2>") < first.index(said)
    forward = sign_in(people.producer).get(at("put-forward", people.producer)).text
    assert "Nothing stands in its way." in forward
    assert finding().says in forward
    assert "Waived by Ben Lee: The client&#x27;s own studio" in forward


def test_a_lapsed_waiver_is_shown_with_what_it_said_and_what_is_found_now(people, waived, finds, sign_in):
    finds(finding(says="The layout of shot 1 has two faults to mend."))
    first = sign_in(people.client).get(at("campaign", people.client)).text
    assert "One waiver holds no longer." in first
    text = sign_in(people.stylist).get(at("waivers", people.stylist)).text
    assert "One waiver has lapsed." in text
    assert f"It said: {finding().says}" in text
    assert "Now: The layout of shot 1 has two faults to mend." in text
    assert "Take it back" not in text


def test_a_signer_takes_it_back_and_it_is_told_by_whom(people, waived, sign_in):
    browser = sign_in(people.photographer)
    assert "Take it back" in browser.get(at("waivers", people.photographer)).text
    browser.post(at("take-back-waiver", people.photographer, waived.key))
    text = browser.get(at("waivers", people.photographer)).text
    assert "Nothing is waived in this brief." in text
    assert f"Taken back by {people.photographer.user}" in text
    assert sign_in(people.producer).post(at("take-back-waiver", people.producer, waived.key)).status_code == 403


def test_the_version_shows_the_waiver_to_everybody_who_reads_it(people, waived, sign_in):
    from portal.brief import actions as brief

    brief.put_forward(again(people.producer))
    text = sign_in(people.assistant).get(at("version", people.assistant, 1)).text
    assert finding().says in text
    assert "Waived by Ben Lee, client" in text
    assert sign_in(people.assistant).get(at("waivers", people.assistant)).status_code == 403


def test_an_outsider_finds_no_waivers(people, waived, sign_in):
    stranger = MemberFactory(role=Role.PHOTOGRAPHER)
    browser = sign_in(stranger)
    assert browser.get(at("waivers", people.client)).status_code == 404
    assert browser.post(at("take-back-waiver", people.client, waived.key)).status_code == 404
    assert browser.post(at("take-back-waiver", stranger, waived.key)).status_code == 404


@pytest.mark.parametrize("many", [1, 30])
def test_pages_ask_no_more_for_many_waivers(people, finds, sign_in, django_assert_max_num_queries, many):
    all_of_them = [finding(says=f"Fault {n}.", url=f"/{n}/") for n in range(many)]
    finds(*all_of_them)
    for one in all_of_them:
        actions.give(again(people.client), one.key, typed_name="Ben", reason=WHY)
    browser = sign_in(people.client)
    for name in ("campaign", "waivers"):
        browser.get(at(name, people.client))
        with django_assert_max_num_queries(12):
            assert browser.get(at(name, people.client)).status_code == 200
