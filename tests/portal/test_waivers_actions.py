"""Protects waivers: a signer alone gives one, by name, with a reason, for one sentence; it lapses with its measure."""

import json

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from portal.access import Role
from portal.brief import actions as brief
from portal.brief import sections, standing, stands
from portal.brief.draft import BriefClosed
from portal.brief.finding import Finding
from portal.brief.models import Campaign
from portal.brief.sections import Section
from portal.models import LogEntry, Waiver
from portal.record.canonical import canonical, digest
from portal.sealing import actions as sealing
from portal.waivers import actions, section
from tests.agreed_world import agreed
from tests.portal.conftest import again

WHY = "The client's own studio sends it after the shoot."


def finding(says="The layout of shot 1 has one fault to mend.", **fields):
    told = {"what": "48-sheet, shot 1", "wants": "one fault to mend", "roles": (Role.DESIGNER,), "url": "/layout/1/#x"}
    return Finding("must-fix", says, **told | {"kind": "layout fault"} | fields)


@pytest.fixture
def finds(bare, monkeypatch):
    """A function that sets what readiness finds; the brief has its section of waivers."""
    held = []
    template = bare.template
    monkeypatch.setitem(sections._sections, "test", Section("test", "Test", 5, lambda _: [], template, lambda _: held))
    waived = Section("waivers", "Waived", 12, section.assemble, "portal/waivers/section.html", words=section.TELLS)
    monkeypatch.setitem(sections._sections, "waivers", waived)

    def set_to(*findings):
        held[:] = findings

    return set_to


def give(member, one, *, name="Ben Lee", reason=WHY):
    return actions.give(again(member), one.key, typed_name=name, reason=reason)


def test_a_findings_key_is_of_kind_place_and_sentence_alone():
    one = finding()
    by_hand = digest(b'["layout fault","/layout/1/","The layout of shot 1 has one fault to mend."]')
    assert one.key == by_hand
    assert finding(url="/layout/1/?from=lists#y", wants="other", what="Other", roles=()).key == one.key
    others = [finding(says="Two faults."), finding(url="/layout/2/"), finding(kind="layout")]
    assert one.key not in {other.key for other in others}


def test_a_findings_key_leaves_out_the_number_of_its_own_shot_and_of_no_other():
    one = finding(shot=1)
    by_hand = digest(b'["layout fault","/layout/1/","The layout of shot has one fault to mend."]')
    assert one.key == by_hand
    assert finding(says="The layout of shot 12 has one fault to mend.", shot=12).key == one.key
    for other in (
        finding(says="The layout of shot 1 has two faults to mend.", shot=1),
        finding(says="The layout of shot 1 has one fault to mend: as shot 1 has it.", shot=1),
        finding(says="The layout of shot 12 has one fault to mend.", shot=1),
        finding(says="The layout of shot 1 has one fault to mend."),
    ):
        assert other.key != one.key
    assert finding(says="Shot 2 is as shot 3.", shot=2).key == finding(says="Shot 3 is as shot 3.", shot=3).key
    assert finding(says="Shot 3 is as shot 2.", shot=3).key != finding(says="Shot 3 is as shot 3.", shot=3).key


def test_a_waiver_outlives_that_shots_are_moved_and_the_document_tells_the_new_number(people, finds):
    finds(finding(shot=1))
    give(people.client, finding(shot=1))
    moved = {"says": "The layout of shot 3 has one fault to mend.", "what": "48-sheet, shot 3", "shot": 3}
    finds(finding(**moved))
    version = brief.put_forward(again(people.producer))
    (row,) = json.loads(version.document)["waivers"]
    assert (row["what"], row["says"]) == (moved["what"], moved["says"])
    waiver = Waiver.objects.get()
    # What was signed and logged stays as it was, so that it can be proven.
    assert (waiver.what, waiver.says) == (finding().what, finding().says)
    assert LogEntry.objects.get(act="waiver.given").payload == actions.as_logged(waiver)
    sealing.decline(again(people.client), digest=version.digest, typed_name="B", reason="No.")
    finds(finding(shot=1))
    standing.refresh(people.campaign.pk)
    assert section.assemble(Campaign.objects.get(pk=people.campaign.pk))[0]["what"] == finding().what


def test_a_moved_shot_of_which_something_else_is_measured_has_no_waiver(people, finds):
    finds(finding(shot=1))
    give(people.client, finding(shot=1))
    finds(finding(says="The layout of shot 3 has two faults to mend.", shot=3))
    with pytest.raises(BriefClosed, match="two faults"):
        brief.put_forward(again(people.producer))


def test_a_waiver_of_an_earlier_release_holds_until_its_shot_is_moved(people, finds):
    finds(finding(shot=1))
    waiver = give(people.client, finding(shot=1))
    Waiver.objects.filter(pk=waiver.pk).update(finding=finding().key)  # as it was then: with the number
    levels = [[one.level for one in sections.findings(again(people.client).campaign)]]
    finds(finding(says="The layout of shot 3 has one fault to mend.", shot=3))
    levels.append([one.level for one in sections.findings(again(people.client).campaign)])
    assert levels == [["waived"], ["must-fix"]]


@pytest.mark.parametrize("role", ["client", "photographer"])
def test_a_signer_waives_and_the_brief_can_go_with_the_waiver_in_its_document(people, finds, role):
    finds(finding())
    with pytest.raises(BriefClosed, match="has one fault to mend"):
        brief.put_forward(again(people.producer))
    signer = getattr(people, role)
    waiver = give(signer, finding())
    version = brief.put_forward(again(people.producer))
    assert json.loads(version.document)["waivers"] == [
        {
            "id": waiver.key,
            "what": "48-sheet, shot 1",
            "says": "The layout of shot 1 has one fault to mend.",
            "reason": WHY,
            "by": "Ben Lee",
            "role": signer.get_role_display(),
            "at": waiver.given_at.isoformat(timespec="seconds"),
        }
    ]
    entry = LogEntry.objects.get(act="waiver.given")
    assert (entry.actor, entry.subject) == (signer.key, f"waiver/{waiver.key}")
    assert entry.payload == actions.as_logged(waiver)


@pytest.mark.parametrize("role", ["agency", "designer", "producer", "stylist", "assistant"])
def test_nobody_else_waives_and_it_leaves_no_trace(people, finds, role):
    finds(finding())
    with pytest.raises(PermissionDenied):
        give(getattr(people, role), finding())
    assert not Waiver.objects.exists()
    assert not LogEntry.objects.exists()


def test_an_agency_producer_who_may_sign_waives(people, finds):
    finds(finding())
    people.agency.may_sign = True
    people.agency.save()
    assert give(people.agency, finding()).given_role == "Agency producer"


@pytest.mark.parametrize(("name", "reason", "says"), [
    (" ", WHY, "Type your name"),
    ("Ben", " ", "Say why"),
    ("Ben", "x" * 2001, "2000 characters"),
])  # fmt: skip
def test_without_a_name_or_a_reason_it_is_refused(people, finds, name, reason, says):
    finds(finding())
    with pytest.raises(ValidationError, match=says):
        give(people.client, finding(), name=name, reason=reason)
    assert not Waiver.objects.exists()


def test_what_is_not_found_as_it_was_read_is_not_waived(people, finds):
    finds(finding(says="Two faults."), finding(says="Worth it.", kind="other"))
    with pytest.raises(ValidationError, match="not found any more as you read it"):
        give(people.client, finding())
    finds(Finding("worth-a-look", "Look.", "", "", (), "/x/", "look"))
    with pytest.raises(ValidationError, match="not found any more"):
        give(people.client, Finding("worth-a-look", "Look.", "", "", (), "/x/", "look"))


def test_what_can_never_be_waived_stays_in_the_way(people, finds):
    finds(finding(says="No shots.", waivable=False))
    with pytest.raises(ValidationError, match="can never be waived"):
        give(people.client, finding(says="No shots."))
    # Not even where a row says otherwise.
    Waiver.objects.create(
        campaign=people.campaign, finding=finding(says="No shots.").key, kind="layout fault", says="No shots.",
        what="", reason="x", typed_name="x", given_by=people.client, given_at="2027-01-01T00:00Z",
    )  # fmt: skip
    assert [one.level for one in sections.findings(people.campaign)] == ["must-fix"]
    with pytest.raises(BriefClosed):
        brief.put_forward(again(people.producer))


def test_a_double_click_is_one_waiver_and_a_second_signer_is_told(people, finds):
    finds(finding())
    first = give(people.client, finding())
    assert give(people.client, finding()) == first
    with pytest.raises(ValidationError, match=f"You have waived this already: “{WHY}”"):
        give(people.client, finding(), reason="Again")
    with pytest.raises(ValidationError, match="Ben Lee has waived this already"):
        give(people.photographer, finding(), name="Ida")
    assert (Waiver.objects.count(), LogEntry.objects.filter(act="waiver.given").count()) == (1, 1)


def test_when_the_measure_changes_the_waiver_has_lapsed_and_holds_again_when_it_is_back(people, finds):
    finds(finding())
    give(people.client, finding())
    finds(finding(says="The layout of shot 1 has two faults to mend."))
    campaign = Campaign.objects.get(pk=people.campaign.pk)
    assert [one.level for one in sections.findings(campaign)] == ["must-fix"]
    standing.refresh(campaign.pk)
    assert Waiver.objects.get().holds is False
    assert section.assemble(Campaign.objects.get(pk=campaign.pk)) == []
    with pytest.raises(BriefClosed, match="two faults"):
        brief.put_forward(again(people.producer))
    finds(finding())
    assert len(json.loads(brief.put_forward(again(people.producer)).document)["waivers"]) == 1
    assert Waiver.objects.get().holds is True


def test_a_waiver_that_was_mended_away_is_no_part_of_the_version(people, finds):
    finds(finding())
    give(people.client, finding())
    finds()
    assert json.loads(brief.put_forward(again(people.producer)).document)["waivers"] == []


def test_taken_back_it_stands_in_the_way_again_and_can_be_given_anew(people, finds):
    finds(finding())
    waiver = give(people.client, finding())
    actions.take_back(again(people.photographer), waiver.key)
    actions.take_back(again(people.photographer), waiver.key)
    assert [one.level for one in sections.findings(again(people.client).campaign)] == ["must-fix"]
    (entry,) = LogEntry.objects.filter(act="waiver.withdrawn")
    assert entry.payload == {"says": finding().says, "given_by": "Ben Lee"}
    second = give(people.client, finding(), reason="After all")
    assert (second.key != waiver.key, Waiver.objects.count()) == (True, 2)
    with pytest.raises(PermissionDenied):
        actions.take_back(again(people.producer), second.key)


def test_another_campaigns_waiver_is_not_there(people, finds, db):
    from tests.factories import MemberFactory

    finds(finding())
    waiver = give(people.client, finding())
    stranger = MemberFactory(role=Role.PHOTOGRAPHER)
    with pytest.raises(Waiver.DoesNotExist):
        actions.take_back(again(stranger), waiver.key)


def test_while_a_version_is_out_or_locked_nothing_is_waived_or_taken_back(people, finds):
    finds(finding())
    waiver = give(people.client, finding())
    version = brief.put_forward(again(people.producer))
    with pytest.raises(BriefClosed, match="out for signature"):
        actions.take_back(again(people.client), waiver.key)
    finds(finding(), finding(says="Another."))
    with pytest.raises(BriefClosed, match="out for signature"):
        give(people.client, finding(says="Another."))
    for signer in (people.client, people.photographer):
        sealing.sign(again(signer), digest=version.digest, typed_name="X")
    with pytest.raises(BriefClosed, match="locked as version 1"):
        give(people.client, finding(says="Another."))
    assert Waiver.objects.count() == 1


def test_after_the_lock_a_signer_waives_only_while_a_change_has_opened_something(db, monkeypatch):
    world = agreed(monkeypatch)
    monkeypatch.setattr(sections, "findings", lambda _: [finding()])
    with pytest.raises(BriefClosed, match="raise a change"):
        give(world.client, finding())
    world.opened(("props", world.shots[0].key))
    assert give(world.client, finding()).says == finding().says


def test_the_standing_and_the_lead_count_what_is_waived_as_such(people, finds):
    finds(finding(), finding(says="Another.", roles=(Role.STYLIST,)))
    give(people.client, finding())
    campaign = Campaign.objects.get(pk=people.campaign.pk)
    found = sections.findings(campaign)
    assert standing.counted(found) == {"must_fix": 1, "waived": 1, "worth_a_look": 0, "by_role": {"stylist": 1}}
    assert stands.lead(found) == "Another. Nothing else stands between this brief and the lock."
    assert stands.waived_words(found) == "One thing is waived by a signer."


def test_the_document_with_a_waiver_is_canonical_and_its_schema_knows_it(people, finds):
    finds(finding())
    give(people.client, finding())
    told = section.assemble(Campaign.objects.get(pk=people.campaign.pk))
    assert set(told[0]) - {"id"} == set(section.TELLS.lists[""].fields)
    assert canonical(told) == canonical(section.assemble(Campaign.objects.get(pk=people.campaign.pk)))
