"""Protects "Where it stands": each role's own work first, few queries, nothing of the draft for who may not read it."""

import pytest
from django.test import override_settings
from django.urls import reverse

from portal.access import Role
from portal.brief import actions, sections, standing
from portal.brief.finding import Finding
from portal.brief.models import Campaign
from portal.brief.sections import Section
from portal.sealing import actions as sealing
from tests.factories import CampaignFactory, FormatFactory, MemberFactory, ShotFactory
from tests.portal.conftest import again


def page(member):
    return reverse("portal:campaign", args=[member.campaign.key])


def owes(campaign, role, count=1, level="must-fix", what="Layout"):
    return [
        Finding(level, f"{what} {n} is owed.", f"{what} {n}", "owed", (role,), f"/{what}/{n}", what)
        for n in range(count)
    ]


@pytest.fixture
def owing(bare, monkeypatch):
    """A function that sets what readiness finds."""

    def set_to(findings):
        section = Section("test", "Test", 5, lambda _: [], bare.template, lambda _: findings)
        monkeypatch.setitem(sections._sections, "test", section)

    return set_to


def test_the_reader_is_told_first_what_is_wanted_of_them(people, sign_in, owing):
    owing([*owes(people.campaign, Role.STYLIST, what="Recipe"), *owes(people.campaign, Role.DESIGNER, what="Layout")])
    text = sign_in(people.designer).get(page(people.designer)).text
    assert text.index("From you") < text.index("/Layout/0") < text.index("From others") < text.index("/Recipe/0")
    assert 'href="/Layout/0"' in text
    assert f"owed: {people.stylist.user.name}" in text


def test_a_reader_who_owes_nothing_is_told_so(people, sign_in, owing):
    owing(owes(people.campaign, Role.STYLIST))
    assert "Nothing from you. From others" in sign_in(people.client).get(page(people.client)).text


def test_a_long_list_is_folded_but_whole(people, sign_in, owing):
    owing(owes(people.campaign, Role.DESIGNER, 40))
    text = sign_in(people.designer).get(page(people.designer)).text
    folded = text[text.index("<details>") :]
    assert "All 40 things" in folded
    assert all(f'href="/Layout/{n}"' in folded for n in range(40))


def test_when_nothing_is_owed_it_can_be_put_forward(people, sign_in):
    assert "Put it forward to have it signed." in sign_in(people.agency).get(page(people.agency)).text
    assert (
        reverse("portal:put-forward", args=[people.campaign.key])
        not in sign_in(people.client).get(page(people.client)).text
    )


def test_the_assistant_reads_not_a_word_of_the_draft(people, sign_in, owing):
    owing(owes(people.campaign, Role.DESIGNER, 7))
    text = sign_in(people.assistant).get(page(people.assistant)).text
    assert "No version of this brief has been put forward yet" in text
    assert "Layout" not in text
    assert "owed" not in text
    assert "seven" not in text.lower()
    assert people.campaign.media not in text


def test_the_assistant_reads_of_a_version_that_is_out_and_of_one_that_was_declined(people, out, sign_in):
    assert "Version 1 is out for signature" in sign_in(people.assistant).get(page(people.assistant)).text
    sealing.decline(people.client, digest=out.digest, typed_name="Ben", reason="Not yet")
    text = sign_in(people.assistant).get(page(people.assistant)).text
    assert "The brief is being worked on" in text


def test_while_a_version_is_out_signers_sign_there_and_others_see_who_is_awaited(people, out, sign_in):
    sealing.sign(people.photographer, digest=out.digest, typed_name="Ida")
    signer = sign_in(people.client).get(page(people.client)).text
    assert f"Version 1 waits for your signature. {people.photographer.user} has signed." in signer
    assert out.digest in signer  # in the form, to be posted with the signature
    other = sign_in(people.stylist).get(page(people.stylist)).text
    said = f"{people.photographer.user} has signed, and {people.client.user} is awaited."
    assert said in other
    assert 'name="typed_name"' not in other


def test_a_signer_who_has_gone_is_named_as_what_holds_it_up(people, out, sign_in):
    people.client.may_sign = False
    people.client.save()
    text = sign_in(people.producer).get(page(people.producer)).text
    assert f"{people.client.user} can no longer sign, so this version cannot be locked." in text


def test_when_locked_it_says_by_whom_with_number_and_digest(people, out, sign_in):
    for signer in (people.client, people.photographer):
        sealing.sign(again(signer), digest=out.digest, typed_name="X")
    text = sign_in(people.stylist).get(page(people.stylist)).text
    assert f"locked as version 1, signed by {people.client.user} and {people.photographer.user}." in text
    assert f"{out.digest[:4]} {out.digest[4:8]}" in text
    assert reverse("shots:lists", args=[people.campaign.key]) in text


def test_why_the_last_version_came_back_is_said(people, out, sign_in):
    sealing.decline(people.client, digest=out.digest, typed_name="Ben", reason="The old packaging.")
    text = sign_in(people.designer).get(page(people.designer)).text
    assert f"{people.client} declined version 1: The old packaging." in text


def test_an_outsider_finds_nothing_and_who_is_signed_out_signs_in(people, client, sign_in):
    stranger = MemberFactory()
    assert client.get(page(people.client)).status_code == 302
    assert sign_in(stranger).get(page(people.client)).status_code == 404


@pytest.mark.django_db
@pytest.mark.parametrize("role", [Role.AGENCY, Role.CLIENT, Role.PHOTOGRAPHER])
def test_the_page_asks_the_database_as_often_for_three_shots_as_for_sixty(client, role, django_assert_max_num_queries):
    """With every room's sections, as they are in real life."""
    asked = []
    for shots, formats in ((3, 2), (60, 12)):
        campaign = CampaignFactory(languages=["en-GB", "cy"])
        member = MemberFactory(campaign=campaign, role=role)
        ShotFactory.create_batch(shots, campaign=campaign)
        for position in range(formats):
            FormatFactory(campaign=campaign, position=position)
        _fill(campaign)
        client.force_login(member.user)
        client.get(page(member))  # what is stored of the standing is then up to date
        with django_assert_max_num_queries(20) as queries:
            answer = client.get(page(member))
        asked.append(len(queries))
        assert answer.status_code == 200
        assert len(answer.content) < 300_000
    assert asked[0] == asked[1]


def _fill(campaign):
    from layouts.formats.actions import fill_grid

    fill_grid(campaign)


def test_standing_is_kept_for_lists_of_campaigns(people, owing):
    owing([*owes(people.campaign, Role.DESIGNER, 2), *owes(people.campaign, Role.STYLIST, level="worth-a-look")])
    standing.refresh(people.campaign.pk)
    people.campaign.refresh_from_db()
    assert people.campaign.standing == {"must_fix": 2, "waived": 0, "worth_a_look": 1, "by_role": {"designer": 2}}
    assert people.campaign.standing_at is not None


def test_standing_computed_while_another_act_was_committed_is_not_kept(people, owing):
    seen = Campaign.objects.get(pk=people.campaign.pk)
    actions.settle_terms(people.producer, media="Screens")
    standing.keep(seen, owes(people.campaign, Role.DESIGNER, 5))
    people.campaign.refresh_from_db()
    assert people.campaign.standing != {"must_fix": 5, "waived": 0, "worth_a_look": 0, "by_role": {"designer": 5}}


def test_many_acts_in_one_transaction_compute_it_once(people, monkeypatch, django_capture_on_commit_callbacks):
    calls = []
    monkeypatch.setattr(standing, "refresh", calls.append)
    with django_capture_on_commit_callbacks(execute=True):
        for media in ("A", "B", "C"):
            actions.settle_terms(again(people.producer), media=media)
    assert calls == [people.campaign.pk]


def test_outdated_standing_is_computed_by_who_reads_it(people, owing):
    from portal.brief.queries import seats

    actions.settle_terms(people.producer, media="Screens")
    standing.refresh(people.campaign.pk)
    owing(owes(people.campaign, Role.DESIGNER, 3))
    standing.outdated(people.campaign.pk)
    (seat,) = seats(people.designer.user)
    assert seat.campaign.standing["must_fix"] == 3
    people.campaign.refresh_from_db()
    assert people.campaign.standing["must_fix"] == 3


def test_error_pages_say_what_to_do(people, sign_in):
    reader = sign_in(people.assistant)
    forbidden = reader.get(reverse("portal:terms", args=[people.campaign.key]))
    assert forbidden.status_code == 403
    assert "may not read the draft" in forbidden.text
    missing = reader.get(reverse("portal:version", args=[people.campaign.key, 9]))
    assert missing.status_code == 404
    assert "There is nothing at this address, or nothing for you." in missing.text


@override_settings(DEBUG=False)
def test_an_error_of_ours_is_said_without_the_database(people, sign_in, monkeypatch):
    def broken(*_):
        raise RuntimeError("a bug")

    reader = sign_in(people.client)
    reader.raise_request_exception = False
    monkeypatch.setattr(sections, "findings", broken)
    answer = reader.get(page(people.client))
    assert answer.status_code == 500
    assert "Something went wrong on our side." in answer.text
