"""Protects the limits agreed with the terms: kept within sense, in the document and its words; each empty term told."""

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from portal.brief import actions, campaign_section, sections
from portal.brief.telling import tell
from portal.models import LogEntry
from tests.factories import CampaignFactory
from tests.portal.conftest import again
from tests.portal.test_versions_pages import TERMS


def test_a_new_campaign_agrees_what_large_type_needs_and_soft_edges_cover(db):
    """WCAG 2.2, 1.4.3: 3 : 1 for large type. The 2 per cent are our own choice."""
    told = campaign_section.assemble(CampaignFactory())
    assert told["limits"] == {"contrast": 3.0, "hero_overlap": 2}


def test_limits_are_settled_with_the_terms_and_logged(people, sign_in):
    answer = sign_in(people.producer).post(
        reverse("portal:terms", args=[people.campaign.key]), TERMS | {"least_contrast": "4.5", "hero_overlap": "10"}
    )
    people.campaign.refresh_from_db()
    assert answer.status_code == 302
    assert (people.campaign.least_contrast, people.campaign.hero_overlap) == (4.5, 10)
    now = LogEntry.objects.get(act="terms.settled").payload["now"]
    assert (now["least_contrast"], now["hero_overlap"]) == (4.5, 10)


@pytest.mark.parametrize("wrong", [
    {"least_contrast": 0.9}, {"least_contrast": 21.1}, {"hero_overlap": 101}, {"hero_overlap": -1},
])  # fmt: skip
def test_limits_that_no_picture_could_have_are_refused(people, wrong):
    """WCAG 2.2: a contrast ratio runs from 1 to 21."""
    with pytest.raises(ValidationError):
        actions.settle_terms(again(people.producer), **wrong)
    people.campaign.refresh_from_db()
    assert (people.campaign.least_contrast, people.campaign.hero_overlap) == (3.0, 2)


@pytest.mark.parametrize("value", ["0", "22", "much", ""])
def test_a_wrong_limit_comes_back_beside_its_field(people, sign_in, value):
    page = reverse("portal:terms", args=[people.campaign.key])
    answer = sign_in(people.producer).post(page, TERMS | {"least_contrast": value, "media": "Kept words"})
    assert answer.status_code == 422
    assert "Kept words" in answer.text


def test_the_diff_says_limits_in_words(people):
    old = sections.assemble(people.campaign)
    actions.settle_terms(again(people.producer), least_contrast=7.0, hero_overlap=25)
    new = sections.assemble(again(people.producer).campaign)
    told = str(tell(old, new, {"campaign": campaign_section.TELLS}))
    assert "Least contrast of type" in told
    assert "7\u202f:\u202f1" in told or "7\\u202f:\\u202f1" in told
    assert "25\u202f%" in told or "25\\u202f%" in told


def test_who_only_reads_the_terms_reads_the_limits(people, sign_in):
    text = sign_in(people.client).get(reverse("portal:terms", args=[people.campaign.key])).text
    assert "at least, and layouts cover" in text


@pytest.mark.parametrize(("empty", "says"), [
    ("media", "The terms of use do not say in which media the pictures run."),
    ("territory", "The terms of use do not say in which territory the pictures run."),
    ("period", "The terms of use do not say for which period the pictures run."),
])  # fmt: skip
def test_each_term_of_use_that_is_empty_must_be_fixed_at_its_own_field(people, empty, says, sign_in):
    actions.settle_terms(again(people.producer), **{empty: "  "})
    (found,) = campaign_section.ready(again(people.producer).campaign)
    assert (found.level, found.says, found.kind, found.waivable) == ("must-fix", says, "term", True)
    page, _, field = found.url.partition("#")
    assert f'id="{field}"' in sign_in(people.producer).get(page).text


def test_nobody_to_sign_can_never_be_waived(people):
    people.client.may_sign = False
    people.client.save()
    (found,) = campaign_section.ready(again(people.producer).campaign)
    assert (found.kind, found.waivable) == ("signer", False)
