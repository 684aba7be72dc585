"""Protects role answers: every role of the job is named, covered by another or agreed as not needed before the lock."""

import json
import re

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.urls import reverse
from django.utils import timezone

from portal.access import May, Role
from portal.brief import sections
from portal.brief.draft import BriefClosed
from portal.models import LogEntry, Member
from shots.models import RoleAnswer
from shots.roles import actions, queries, section
from tests.factories import CampaignFactory, MemberFactory, answer_roles, member_of
from tests.filled import filled
from tests.portal.conftest import again

TELEPHONE = "+44 1632 960 123"  # of a range kept for fiction


def seat(campaign, role):
    return next(one for one in queries.seats(campaign) if role in (one.id, one.title))


def unanswered(campaign):
    return [finding.what for finding in section.ready(campaign)]


def test_a_new_campaign_owes_an_answer_for_each_role_of_the_crew_that_nobody_has(campaign, producer, stylist):
    found = section.ready(campaign)

    assert unanswered(campaign) == [
        "Photographer", "Props stylist", "Lighting assistant", "Digital operator", "Retoucher", "Assistant",
    ]  # fmt: skip
    assert {(one.level, one.kind, one.roles) for one in found} == {
        ("must-fix", "role-unanswered", (Role.PRODUCER, Role.PHOTOGRAPHER))
    }
    assert found[0].url == f"{reverse('shots:roles', args=[campaign.key])}#role-photographer"


def test_whoever_is_in_the_campaign_answers_a_role_until_they_leave(campaign, producer):
    assistant = member_of(campaign, Role.ASSISTANT)
    assert seat(campaign, "assistant").says == f"{assistant.user}, who works on this campaign."

    assistant.left_at = timezone.now()
    assistant.save()

    assert "Assistant" in unanswered(campaign)


def test_each_kind_of_answer_settles_its_role(campaign, producer):
    stylist = member_of(campaign, Role.STYLIST)
    actions.name_person(producer, "retoucher", name=" Nel Okafor ", contact=TELEPHONE)
    actions.name_person(producer, "photographer", member=stylist.key)
    actions.cover(producer, "operator", covered_by="photographer")
    actions.not_needed(producer, "assistant", agreed_by="Mia Brandt", reason="Two plates in one day.")

    assert {role: seat(campaign, role).says for role in ("retoucher", "photographer", "operator", "assistant")} == {
        "retoucher": "Nel Okafor.",
        "photographer": f"{stylist.user}.",
        "operator": f"Covered by the photographer, {stylist.user}.",
        "assistant": "Not needed, agreed by Mia Brandt: Two plates in one day.",
    }
    assert unanswered(campaign) == ["Props stylist", "Lighting assistant"]


def test_an_answer_replaces_the_one_before_it_whole(campaign, producer):
    actions.name_person(producer, "retoucher", name="Nel Okafor", contact=TELEPHONE)
    actions.not_needed(producer, "retoucher", agreed_by="Mia Brandt", reason="As shot.")
    row = RoleAnswer.objects.get()
    assert (row.answer, row.name, row.contact) == ("not-needed", "", "")

    actions.take_back(producer, "retoucher")
    row.refresh_from_db()

    assert (row.answer, row.agreed_by, row.reason) == ("open", "", "")
    assert "Retoucher" in unanswered(campaign)


@pytest.mark.parametrize(
    ("act", "fields", "says"),
    [
        (actions.name_person, {"name": " "}, "Say who it is"),
        (actions.name_person, {"name": "Nel", "contact": " "}, "Say how they are reached"),
        (actions.cover, {"covered_by": "retoucher"}, "cannot cover itself"),
        (actions.cover, {"covered_by": "operator"}, "in which somebody is named"),
        (actions.cover, {"covered_by": "nonsense"}, "in which somebody is named"),
        (actions.not_needed, {"agreed_by": "", "reason": "x"}, "with whom"),
        (actions.not_needed, {"agreed_by": "x", "reason": " "}, "why nobody"),
    ],
)
def test_an_answer_that_says_too_little_is_refused_and_leaves_no_trace(producer, act, fields, says):
    with pytest.raises(ValidationError, match=says):
        act(producer, "retoucher", **fields)

    assert not RoleAnswer.objects.exists()
    assert not LogEntry.objects.exists()


def test_a_role_is_open_again_when_who_covers_it_goes(campaign, producer):
    lighting = member_of(campaign, Role.LIGHTING)
    actions.cover(producer, "operator", covered_by="lighting")
    lighting.left_at = timezone.now()
    lighting.save()

    assert seat(campaign, "operator").wants == (
        "The role of digital operator is to be covered by the lighting assistant, and nobody is named for that."
    )
    assert section.as_data(seat(campaign, "operator"))["answer"] == "open"


def test_roles_do_not_cover_each_other_in_a_ring(campaign, producer):
    member_of(campaign, Role.LIGHTING)
    actions.cover(producer, "operator", covered_by="lighting")

    with pytest.raises(ValidationError, match="in which somebody is named"):
        actions.cover(producer, "assistant", covered_by="operator")


def test_somebody_named_who_left_the_campaign_is_named_no_more(campaign, producer):
    agency = member_of(campaign, Role.AGENCY)
    actions.name_person(producer, "operator", member=agency.key)
    agency.left_at = timezone.now()
    agency.save()

    assert seat(campaign, "operator").wants == f"{agency.user}, named as digital operator, has left the campaign."
    with pytest.raises(Member.DoesNotExist):
        actions.name_person(producer, "retoucher", member=agency.key)


def test_a_role_can_be_added_and_taken_out_but_not_twice_and_not_while_it_covers(campaign, producer):
    added = actions.add_role(producer, title=" home  economist")
    assert (added.title, unanswered(campaign)[-1]) == ("Home economist", "Home economist")
    for title in ("Home Economist", "retoucher"):
        with pytest.raises(ValidationError, match="in the list already"):
            actions.add_role(producer, title=title)
    actions.name_person(producer, added.key, name="Nel", contact=TELEPHONE)
    actions.cover(producer, "stylist", covered_by=added.key)

    with pytest.raises(ValidationError, match="It covers the role of food stylist"):
        actions.remove_role(producer, added.key)
    actions.take_back(producer, "stylist")
    actions.remove_role(producer, added.key)

    assert not RoleAnswer.objects.filter(key=added.key).exists()


def test_another_campaigns_role_is_not_found(campaign, producer):
    other = CampaignFactory()
    theirs = actions.add_role(member_of(other), title="Medic")
    for act in (lambda: actions.take_back(producer, theirs.key), lambda: actions.remove_role(producer, theirs.key)):
        with pytest.raises(RoleAnswer.DoesNotExist):
            act()


@pytest.mark.parametrize("role", [role for role in Role if role not in (Role.PRODUCER, Role.PHOTOGRAPHER)])
def test_only_who_plans_the_days_answers(campaign, role):
    with pytest.raises(PermissionDenied, match="may not change the time plan, role answers"):
        actions.not_needed(member_of(campaign, role), "retoucher", agreed_by="x", reason="y")


def test_no_answer_changes_once_the_brief_is_closed(campaign, producer):
    answer_roles(campaign)
    version = campaign.versions.create(number=1, document="{}", sections={}, digest="0" * 64, put_forward_by=producer,
                                       put_forward_at=timezone.now())  # fmt: skip
    campaign.open_version = version
    campaign.save()

    with pytest.raises(BriefClosed):
        actions.take_back(producer, "retoucher")


def test_a_telephone_number_is_in_no_document_and_not_in_the_log(campaign, producer):
    actions.name_person(producer, "retoucher", name="Nel Okafor", contact=TELEPHONE)
    actions.name_person(producer, "retoucher", name="Nel Okafor", contact=f"{TELEPHONE} 4")

    document = json.dumps(sections.assemble(campaign))

    assert "Nel Okafor" in document
    assert TELEPHONE not in document
    assert LogEntry.objects.filter(act="role.answered").count() == 2
    assert all(TELEPHONE not in json.dumps(entry.payload) for entry in LogEntry.objects.all())


def test_the_page_shows_the_number_to_who_may_read_the_draft_alone(campaign, producer, sign_in):
    actions.name_person(producer, "retoucher", name="Nel Okafor", contact=TELEPHONE)
    url = reverse("shots:roles", args=[campaign.key])

    assert TELEPHONE in sign_in(member_of(campaign, Role.CLIENT)).get(url).text
    refused = sign_in(member_of(campaign, Role.ASSISTANT)).get(url)
    assert (refused.status_code, TELEPHONE in refused.text) == (403, False)


def test_the_page_answers_by_forms_and_keeps_what_was_refused(campaign, producer, sign_in):
    browser = sign_in(producer)
    url = reverse("shots:answer-role", args=[campaign.key, "retoucher"])

    refused = browser.post(url, {"answer": "named", "name": "Nel Okafor", "contact": ""})
    assert (refused.status_code, "Say how they are reached" in refused.text) == (422, True)
    assert 'value="Nel Okafor"' in refused.text
    kept = browser.post(url, {"answer": "named", "name": "Nel Okafor", "contact": TELEPHONE})

    assert kept.headers["Location"] == f"{reverse('shots:roles', args=[campaign.key])}#role-retoucher"
    assert seat(campaign, "retoucher").who == ["Nel Okafor"]
    browser.post(url, {"answer": "open"})
    assert seat(campaign, "retoucher").wants
    browser.post(reverse("shots:add-role", args=[campaign.key]), {"title": "Medic"})
    medic = seat(campaign, "Medic")
    assert medic.added
    browser.post(reverse("shots:remove-role", args=[campaign.key, medic.id]))
    assert not RoleAnswer.objects.filter(title="Medic").exists()


def test_the_second_of_two_is_shown_what_the_first_answered_and_overwrites_nothing(campaign, producer, sign_in):
    url = reverse("shots:answer-role", args=[campaign.key, "retoucher"])
    browser = sign_in(producer)
    mine = {"answer": "not-needed", "agreed_by": "Mia Brandt", "reason": "As shot.", "read": ""}
    actions.name_person(member_of(campaign, Role.PHOTOGRAPHER), "retoucher", name="Nel Okafor", contact=TELEPHONE)

    second = browser.post(url, mine)

    assert second.status_code == 422
    assert "somebody else answered: “Nel Okafor.”" in second.text
    assert 'value="Mia Brandt"' in second.text
    assert seat(campaign, "retoucher").who == ["Nel Okafor"]
    again_read = next(row for row in second.context["rows"] if row["seat"].id == "retoucher")["forms"][2][
        "read"
    ].value()
    assert browser.post(url, mine | {"read": again_read}).status_code == 302
    assert seat(campaign, "retoucher").answer == "not-needed"


def test_an_answer_sent_twice_is_one_and_a_double_click_is_no_quarrel(campaign, producer, sign_in):
    browser, url = sign_in(producer), reverse("shots:answer-role", args=[campaign.key, "retoucher"])
    form = filled(browser.get(reverse("shots:roles", args=[campaign.key])), "retoucher/", "contact")
    mine = form | {"name": "Nel Okafor", "contact": TELEPHONE}
    assert [browser.post(url, mine).status_code for _ in range(2)] == [302, 302]
    assert LogEntry.objects.filter(act="role.answered").count() == 1


def test_an_answer_is_not_taken_back_unread(campaign, producer, sign_in):
    actions.name_person(producer, "retoucher", name="Nel Okafor", contact=TELEPHONE)
    browser, url = sign_in(producer), reverse("shots:answer-role", args=[campaign.key, "retoucher"])
    forms = browser.get(reverse("shots:roles", args=[campaign.key])).text.split('value="open"')[0]
    read = {"answer": "open", "read": re.findall(r'name="read" value="(\w*)"', forms)[-1]}
    other = member_of(campaign, Role.PHOTOGRAPHER)
    actions.not_needed(other, "retoucher", agreed_by="Mia Brandt", reason="As shot.")
    assert browser.post(url, read).status_code == 422
    assert seat(campaign, "retoucher").answer == "not-needed"


def test_a_role_is_added_and_taken_out_once_and_not_while_others_answer_it(campaign, producer, sign_in):
    browser, page = sign_in(producer), reverse("shots:roles", args=[campaign.key])
    add = filled(browser.get(page), "roles/add/") | {"title": "Medic"}
    assert [browser.post(f"{page}add/", add).status_code for _ in range(2)] == [302, 302]
    medic = seat(campaign, "Medic")
    out = filled(browser.get(page), f"{medic.id}/remove/")
    actions.name_person(member_of(campaign, Role.PHOTOGRAPHER), medic.id, name="Nel Okafor", contact=TELEPHONE)
    asked = browser.post(f"{page}{medic.id}/remove/", out)
    assert asked.status_code == 422
    out = filled(asked, f"{medic.id}/remove/")
    assert [browser.post(f"{page}{medic.id}/remove/", out).status_code for _ in range(2)] == [302, 302]
    assert LogEntry.objects.filter(act="role.removed").count() == 1


def test_who_may_only_read_gets_no_form(campaign, producer, sign_in):
    page = sign_in(member_of(campaign, Role.DESIGNER)).get(reverse("shots:roles", args=[campaign.key]))

    assert "Retoucher" in page.text
    assert "<form" not in page.text.partition("<main")[2].partition("</main>")[0]


def test_a_difference_of_answers_is_told_in_words(campaign, producer):
    from portal.brief.telling import tell

    actions.not_needed(producer, "retoucher", agreed_by="Mia Brandt", reason="As shot.")
    old = {"roles": section.assemble(campaign)}
    actions.name_person(producer, "retoucher", name="Nel Okafor", contact=TELEPHONE)
    new = {"roles": section.assemble(again(producer).campaign)}

    (told,) = tell(old, new, {"roles": section.TELLS}).values()

    assert [line.says for line in told] == [
        "Retoucher, answer: named, was not needed.",
        "Retoucher, who: Nel Okafor, was empty.",
        "Retoucher, agreed by: empty, was Mia Brandt.",
        "Retoucher, why: empty, was As shot.",
    ]


@pytest.mark.parametrize("count", [1, 30])
def test_the_page_costs_the_same_whatever_the_number_of_people(campaign, sign_in, django_assert_max_num_queries, count):
    first = member_of(campaign, Role.PRODUCER)
    MemberFactory.create_batch(count, campaign=campaign, role=Role.STYLIST)
    browser = sign_in(first)
    with django_assert_max_num_queries(12):
        browser.get(reverse("shots:roles", args=[campaign.key]))


def test_the_roles_that_answer_are_those_of_the_table():
    from portal import access

    assert access.roles_that_may(May.EDIT_DAYS) == [Role.PRODUCER, Role.PHOTOGRAPHER]
