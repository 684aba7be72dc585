"""Protects terms, the brief and its versions: what each reader sees of them, forms that lose nothing, stamps."""

import pytest
from django.urls import reverse

from portal.access import Role
from portal.brief import actions, wording
from portal.sealing import actions as sealing
from portal.sealing import queries
from tests.factories import MemberFactory
from tests.portal.conftest import again


def at(name, member, *args):
    return reverse(f"portal:{name}", args=[member.campaign.key, *args])


TERMS = {
    "title": "Campaign",
    "client": "Client",
    "agency": "",
    "about": "",
    "languages": "en_gb, CY",
    "media": "Screens",
    "territory": "Wales",
    "period": "A week",
    "rounds_included": "3",
    "least_contrast": "4.5",
    "hero_overlap": "5",
}


def test_terms_are_kept_in_the_standards_spelling(people, sign_in):
    answer = sign_in(people.producer).post(at("terms", people.producer), TERMS)
    people.campaign.refresh_from_db()
    assert answer.status_code == 302
    assert people.campaign.languages == ["en-GB", "cy"]
    assert people.campaign.rounds_included == 3


def test_terms_that_are_wrong_come_back_with_all_that_was_typed(people, sign_in):
    answer = sign_in(people.producer).post(at("terms", people.producer), TERMS | {"languages": "qq", "media": "Kept"})
    people.campaign.refresh_from_db()
    assert answer.status_code == 422
    assert "which is not the code of a language" in answer.text
    assert 'value="Kept"' in answer.text
    assert people.campaign.media == "Outdoor posters"
    assert people.campaign.title in answer.text  # the running head shows what is stored, not what was typed


@pytest.mark.parametrize("role", ["client", "designer", "stylist"])
def test_terms_are_read_and_not_changed_by_others(people, sign_in, role):
    reader = sign_in(getattr(people, role))
    assert "<form class" not in reader.get(at("terms", people.client)).text
    assert reader.post(at("terms", people.client), TERMS).status_code == 403


def test_terms_of_a_closed_brief_say_why_and_a_posted_change_is_refused(people, out, sign_in):
    editor = sign_in(people.producer)
    shown = editor.get(at("terms", people.producer))
    assert "Version 1 is out for signature, so the brief is closed to editing." in shown.text
    assert 'name="media"' not in shown.text
    refused = editor.post(at("terms", people.producer), TERMS)
    assert refused.status_code == 409
    assert "Version 1 is out for signature" in refused.text


def test_the_draft_is_stamped_as_one(people, sign_in):
    text = sign_in(people.client).get(at("brief", people.client)).text
    assert "DRAFT" in text
    assert people.campaign.media in text
    assert "None has been put forward yet. Two rounds of amends are included." in text


def test_a_section_is_read_by_those_who_may(people, out, sign_in):
    for member, sees in ((people.producer, True), (people.client, False), (people.assistant, False)):
        for name in (at("brief", member), at("version", member, 1)):
            assert ("£4210.55" in sign_in(member).get(name).text) is sees


def test_who_may_not_read_the_draft_reads_versions_alone(people, sign_in):
    reader = sign_in(people.assistant)
    text = reader.get(at("brief", people.assistant)).text
    assert "No version has been put forward that you may read." in text
    assert people.campaign.media not in text

    out = actions.put_forward(people.producer)
    assert people.campaign.media in sign_in(people.assistant).get(at("brief", people.assistant)).text
    sealing.decline(again(people.client), digest=out.digest, typed_name="Ben", reason="No")
    actions.settle_terms(again(people.producer), media="Secret new screens")
    reader = sign_in(people.assistant)
    assert "Secret new screens" not in reader.get(at("brief", people.assistant)).text
    assert "Outdoor posters" in reader.get(at("version", people.assistant, 1)).text


def test_an_old_version_is_drawn_from_its_document_and_not_from_rows(people, out, sign_in):
    actions.withdraw(people.producer, reason="The wrong media.")
    actions.settle_terms(again(people.producer), media="Screens")
    reader = sign_in(people.client)
    old = reader.get(at("version", people.client, 1)).text
    assert "Outdoor posters" in old
    assert f"It was withdrawn by {people.producer.user}, so it does not hold." in old
    assert "The wrong media." in old
    assert reader.get(at("version", people.client, 2)).status_code == 404


def test_a_section_that_this_portal_does_not_know_is_named_with_its_digest(people, out, sign_in, monkeypatch):
    from portal.brief import sections

    known = {"campaign": sections._sections["campaign"]}
    monkeypatch.setattr(sections, "_sections", known)
    text = sign_in(people.client).get(at("version", people.client, 1)).text
    assert "written by another release of the portal" in text
    assert out.sections["money"][:4] in text


def test_the_table_of_versions_says_what_became_of_each(people, out, sign_in):
    sealing.decline(people.client, digest=out.digest, typed_name="Ben", reason="The old packaging.")
    second = actions.put_forward(again(people.producer))
    actions.withdraw(again(people.producer), reason="A typing error.")
    third = actions.put_forward(again(people.producer))
    for signer in (people.client, people.photographer):
        sealing.sign(again(signer), digest=third.digest, typed_name="X")

    found = queries.versions(again(people.client).campaign)

    assert [(one.version, one.state, one.reason, one.by) for one in found] == [
        (third, "locked", "", ""),
        (second, "withdrawn", "A typing error.", str(people.producer.user)),
        (out, "declined", "The old packaging.", str(people.client.user)),
    ]
    text = sign_in(people.stylist).get(at("brief", people.stylist)).text
    assert "Two rounds of amends are included, and two have been used." in text
    assert "The old packaging." in text


@pytest.mark.parametrize("many", [1, 4])
def test_the_table_costs_the_same_however_many_versions(people, sign_in, django_assert_num_queries, many):
    for _ in range(many):
        actions.put_forward(again(people.producer))
        actions.withdraw(again(people.producer), reason="Again")
    reader = sign_in(people.client)
    reader.get(at("brief", people.client))  # the first reading is kept
    with django_assert_num_queries(9):
        reader.get(at("brief", people.client))


@pytest.mark.parametrize(
    ("put", "included", "says"),
    [
        (0, 2, "Two rounds of amends are included."),
        (1, 2, "Two rounds of amends are included, and none has been used."),
        (2, 1, "One round of amends is included, and one has been used."),
        (4, 2, "Two rounds of amends are included, and three have been used."),
    ],
)
def test_rounds_are_counted_from_the_second_version(put, included, says):
    assert wording.rounds(put, included) == says


def test_a_round_past_those_included_is_said_before_it_is_sent():
    assert wording.past_rounds(2, 2) == ""
    assert wording.past_rounds(3, 2) == (
        "Version 4 is round 3 of amends, and two are included: agree first who pays for it."
    )
    assert wording.past_rounds(1, 0) == (
        "Version 2 is round 1 of amends, and none is included: agree first who pays for it."
    )


def test_outsiders_find_nothing(people, out, sign_in):
    reader = sign_in(MemberFactory(role=Role.PRODUCER))
    for url in (at("terms", people.client), at("brief", people.client), at("version", people.client, 1)):
        assert reader.get(url).status_code == 404
