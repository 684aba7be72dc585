"""Protects deciding a change in the place of a signer who is away: who may, how long, and that both names stand."""

from datetime import timedelta
from html import unescape

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone
from django.utils.timezone import localdate

from portal.access import Role
from portal.brief import actions as brief
from portal.changes import actions, queries, section, wording
from portal.delegation import actions as delegation
from portal.models import Campaign, Change, Delegation, LogEntry, Notice
from portal.notices import following
from portal.people.account_proof import account_digest
from portal.people.queries import waiting
from portal.sealing import archive_in, archive_out, log, verify, words
from shots.props.actions import edit_prop
from tests.agreed_world import again, agreed
from tests.factories import MemberFactory
from tests.mails import post
from tests.portal.test_archive import empty_the_portal
from tests.portal.test_record_verify import forge

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(monkeypatch):
    """With a second producer of the agency, who may read the estimate and not sign: `deputy`."""
    world = agreed(monkeypatch)
    member = world.people["deputy"] = MemberFactory(campaign=world.campaign, role=Role.AGENCY)
    told = {"role": str(member.role), "may_sign": False, "account": account_digest(again(member))}
    with transaction.atomic():
        log.append(again(member), "member.joined", f"member/{member.key}", **told)
    return world


def away(world, signer="agency", to="deputy", first=0):
    day = localdate() + timedelta(days=first)
    return delegation.delegate(
        getattr(world, signer), to=getattr(world, to).key, first_day=day, last_day=day + timedelta(days=3)
    )


def accept(world, change, by="deputy", signer="agency"):
    return actions.accept_change(getattr(world, by), change.key, typed_name="As typed", signer=world.people[signer].key)


def pivot(world, by, **told):
    told = {"what": "Second straw.", "present": [], "photo": None, "opens": [], "sent_as": "device-0001"} | told
    return actions.record_pivot(by, happened_at=timezone.now(), **told)


def at(world, name, *args):
    return reverse(f"portal:{name}", args=[world.campaign.key, *args])


def test_a_delegate_accepts_for_the_signer_and_both_names_stand(world, tmp_path):
    change = world.raised(("props", world.shots[1].key))
    with pytest.raises(PermissionDenied, match="Nobody has asked you"):
        accept(world, change)
    away(world)
    accept(world, change)
    assert accept(world, change).pk == change.pk  # the same click again

    kept = Change.objects.get()
    agency, deputy = world.agency, world.deputy
    assert (kept.state, kept.decided_by, kept.decided_for) == ("accepted", deputy, agency)
    assert f"by As typed ({deputy.user}) for {agency.user}," in wording.decision(kept)
    entry = LogEntry.objects.get(act="change.accepted")
    assert (entry.actor, entry.payload["signer"]) == (deputy.key, agency.key)
    assert words.say(entry, {}) == f"{deputy} accepted change 1 for {agency.user}: Amber glass."
    edit_prop(world.producer, world.things[1].key, note="Amber")
    (row,) = section.assemble(world.now())
    assert (row["decided_by"], row["decided_for"]) == ("As typed", str(agency.user))
    brief.put_forward(world.producer)
    assert verify.prove(world.now()).breaks == []

    path = tmp_path / "campaign.zip"
    archive_out.write(world.now(), path)
    empty_the_portal()
    archive_in.read(path)
    back = Change.objects.get()
    assert (back.decided_by.key, back.decided_for.key) == (deputy.key, agency.key)
    assert verify.prove(Campaign.objects.get()).breaks == []


def test_a_delegate_refuses_for_the_signer(world):
    change = world.raised()
    away(world)
    with pytest.raises(ValidationError, match="Say why"):
        actions.refuse_change(world.deputy, change.key, typed_name="D", why="", signer=world.agency.key)
    actions.refuse_change(world.deputy, change.key, typed_name="D", why="Too late.", signer=world.agency.key)
    entry = LogEntry.objects.get(act="change.refused")
    assert words.say(entry, {}) == f"{world.deputy} refused change 1 for {world.agency.user}: Too late."
    assert verify.prove(world.now()).breaks == []


@pytest.mark.parametrize(
    ("signer", "to", "first"),
    [
        ("agency", "designer", 0),  # signs for them, and may not read what a change costs
        ("photographer", "producer", 0),  # signs, and decides no changes themself
        ("agency", "deputy", 1),  # tomorrow
    ],
)
def test_who_may_not_decide_for_them(world, signer, to, first):
    away(world, signer, to, first)
    change = world.raised()
    with pytest.raises(PermissionDenied):
        accept(world, change, to, signer)
    assert queries.to_decide(getattr(world, to)) == []
    with pytest.raises(ValidationError, match="can no longer sign"):
        pivot(world, world.stylist, agrees=getattr(world, to).key, agrees_for=getattr(world, signer).key)


def test_once_it_is_ended_nothing_is_decided_by_it(world):
    change = world.raised()
    delegation.end(world.agency, away(world).key)
    with pytest.raises(PermissionDenied):
        accept(world, change)


def test_no_delegate_decides_for_another_signer_than_who_asked(world):
    away(world)
    change = world.raised()
    for signer in ("client", "photographer"):
        with pytest.raises(PermissionDenied):
            accept(world, change, signer=signer)
    with pytest.raises(PermissionDenied, match="may not decide a change"):
        actions.accept_change(world.deputy, change.key, typed_name="D")


def test_a_delegate_on_set_agrees_to_a_pivot_for_the_signer(world):
    away(world)
    deputy, agency = world.deputy, world.agency
    by_other = pivot(world, world.stylist, agrees=deputy.key, agrees_for=agency.key)
    assert (by_other.state, by_other.agrees_name) == ("asked", f"{deputy.user} for {agency.user}")
    told = {"name": str(deputy.user), "member": deputy.key, "agrees": True, "agrees_for": agency.key}
    assert by_other.present == [told]
    assert not accept(world, by_other).decided_away
    own = pivot(world, deputy, agrees=deputy.key, agrees_for=agency.key, sent_as="device-0002")
    assert (own.state, own.decided_by, own.decided_for, own.decided_away) == ("accepted", deputy, agency, False)
    # Whoever decides was there or was not; that the signer was, is no matter.
    third = pivot(world, world.stylist, agrees="", present=[agency.key], sent_as="device-0003")
    assert accept(world, third).decided_away
    assert verify.prove(world.now()).breaks == []


def test_the_phone_offers_who_may_agree_for_somebody(world, sign_in):
    away(world)
    deputy, agency = world.deputy, world.agency
    value = f'value="{deputy.key}/{agency.key}"'
    shown = unescape(sign_in(world.stylist).get(at(world, "pivot")).text)
    assert (value in shown, f"{deputy.user}, for {agency.user}" in shown) == (True, True)
    form = {"what": "Second straw.", "without_photo": "on", "agrees": f"{deputy.key}/{agency.key}", "about": "nothing"}
    form |= {"sent_as": "0123456789abcdef0123456789abcdef", "account": deputy.key}
    answer = sign_in(world.deputy).post(at(world, "pivot"), form, headers={"Accept": "application/json"})
    assert answer.json()["says"] == "Change 1 is recorded and accepted."
    assert Change.objects.get().decided_for == agency
    Delegation.objects.update(ended_at=timezone.now())
    assert value not in sign_in(world.stylist).get(at(world, "pivot")).text


def test_the_page_has_the_forms_for_whom_the_reader_may_decide(world, sign_in):
    change = world.raised(("props", world.shots[1].key))
    deputy, agency = sign_in(world.deputy), world.agency
    page, to_accept, to_refuse = (
        at(world, "change", change.key),
        at(world, "accept-change-for", change.key, agency.key),
        at(world, "refuse-change-for", change.key, agency.key),
    )
    assert to_accept not in deputy.get(page).text
    assert deputy.post(to_accept, {"typed_name": "D"}).status_code == 403
    away(world)
    assert f"Decide for {agency.user}" in unescape(deputy.get(page).text)
    assert change.what in deputy.get(at(world, "campaign")).text
    assert [row.decide for row in waiting(world.deputy.user)] == [1]
    # The agency's own page has its own forms alone; one decision is enough.
    own = sign_in(world.agency).get(page).text
    assert (own.count("Accept it"), to_accept in own) == (1, False)
    deputy = sign_in(world.deputy)
    wrong = deputy.post(to_refuse, {"typed_name": "D", "why": ""})
    assert (wrong.status_code, "Say why it is refused" in wrong.text, 'value="D"' in wrong.text) == (422, True, True)
    done = deputy.post(to_accept, {"typed_name": "D"}, follow=True)
    assert f"Change 1 is accepted for {agency.user}." in unescape(done.text)
    assert sign_in(world.stylist).post(to_accept, {"typed_name": "S"}).status_code == 403
    assert [row.decide for row in waiting(world.deputy.user)] == [0]


def test_whoever_signs_for_somebody_and_may_not_decide_is_told_why(world, sign_in):
    change = world.raised()
    away(world, to="designer")
    says = f"You may sign for {world.agency.user}, but decide no changes: whoever decides must be able to read"
    assert says in unescape(sign_in(world.designer).get(at(world, "change", change.key)).text)
    assert "but decide no changes" not in sign_in(world.deputy).get(at(world, "change", change.key)).text
    actions.accept_change(world.client, change.key, typed_name="C")
    assert "but decide no changes" not in sign_in(world.designer).get(at(world, "change", change.key)).text


def test_a_delegate_is_told_of_what_waits_and_no_longer_once_it_is_ended(world):
    def told(member):
        return list(Notice.objects.filter(member=member, settled_at=None).values_list("kind", "waits"))

    first = world.raised()
    assert told(world.people["deputy"]) == []
    one = away(world)
    assert told(world.people["deputy"]) == [("delegated", True)]
    world.raised(what="Bigger.")
    pivot(world, world.stylist, agrees="")
    assert told(world.people["deputy"])[1:] == [("change", True), ("pivot", True)]
    accept(world, first)
    mails = [mail for mail in post() if mail.to == [world.deputy.user.email]]
    assert "raised change 2, which waits for a decision" in mails[0].body
    world.raised(what="Smaller.")
    delegation.end(world.agency, one.key)
    mails = [mail for mail in post() if mail.to == [world.deputy.user.email]]
    assert [("change 4" in mail.body) for mail in mails] == [False]


def test_a_delegate_asked_ahead_is_told_on_the_first_day_of_what_waits_already(world):
    waits, decided = world.raised(), world.raised(what="Bigger.")
    actions.accept_change(world.client, decided.key, typed_name="C")
    away(world)
    Delegation.objects.update(set_up_at=timezone.now() - timedelta(days=9))
    Notice.objects.all().delete()
    for _ in range(2):
        following.remind_delegates(localdate())
    told = [(one.member, one.kind, one.subject) for one in Notice.objects.all()]
    assert told == [(world.deputy, "change", f"change/{waits.key}")]


def test_a_decision_in_a_place_that_the_log_does_not_know_is_found(world):
    away(world)
    accept(world, world.raised())
    forge("UPDATE portal_change SET decided_for_id = %s", world.client.pk)
    breaks = verify.prove(world.now()).breaks
    assert ("change 1", "it was decided in somebody else's place, as the log has it") in breaks


def test_a_decision_by_nobodys_word_is_found(world):
    """As if the act had let it pass: the log tells of it, and of no delegation."""
    change, agency = world.raised(), world.agency
    with transaction.atomic():
        actions._decide(world.deputy, actions._row(world.deputy, change.key), "accepted", "D", "", agency)
    says = f"the log does not know that {world.deputy.user} could decide for {agency.user} then"
    assert verify.prove(world.now()).breaks == [("change 1", says)]


def test_the_database_refuses_another_place(world):
    away(world)
    accept(world, world.raised())
    with pytest.raises(IntegrityError), transaction.atomic():
        Change.objects.update(decided_for=world.client)
