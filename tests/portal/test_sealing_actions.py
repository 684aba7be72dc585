"""Protects signing: one digest, each required signer once, the lock with the last signature, exactly once in a race."""

import threading

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import connection

from portal.brief import actions as brief
from portal.brief.draft import BriefClosed
from portal.brief.models import Version
from portal.sealing import actions
from portal.sealing.models import LogEntry, SignOff
from tests.portal.conftest import again


def sign(member, version, name="As typed"):
    return actions.sign(again(member), digest=version.digest, typed_name=name)


def test_sign_keeps_person_digest_name_and_time(people, out):
    sign(people.client, out, " B. Lee ")

    kept = SignOff.objects.get()
    assert (kept.member, kept.version, kept.digest, kept.typed_name) == (people.client, out, out.digest, "B. Lee")
    assert again(people.client).campaign.locked_version is None


def test_the_last_signature_locks(people, out):
    sign(people.client, out)
    sign(people.photographer, out)

    campaign = again(people.client).campaign
    assert campaign.locked_version == out
    assert campaign.open_version is None
    acts = list(LogEntry.objects.values_list("act", "actor"))
    assert acts[-2:] == [("version.signed", people.photographer.key), ("version.locked", "")]


def test_nobody_signs_who_was_not_asked(people, out):
    people.agency.may_sign = True  # since the version went out
    people.agency.save()
    with pytest.raises(BriefClosed, match="not asked for"):
        sign(people.agency, out)
    with pytest.raises(PermissionDenied, match="sign off"):
        sign(people.producer, out)
    assert not SignOff.objects.exists()


def test_a_signer_who_lost_the_right_cannot_sign(people, out):
    people.client.may_sign = False
    people.client.save()
    with pytest.raises(PermissionDenied):
        sign(people.client, out)


def test_only_the_digest_that_is_out_is_signed(people, out):
    with pytest.raises(BriefClosed, match="Read the page again"):
        actions.sign(people.client, digest="0" * 64, typed_name="Ben Lee")
    brief.withdraw(people.producer, reason="A typing error")
    with pytest.raises(BriefClosed, match="Read the page again"):
        sign(people.client, out)
    assert not SignOff.objects.exists()


def test_an_answer_is_given_once(people, out):
    sign(people.client, out)
    with pytest.raises(BriefClosed, match="answered this version already"):
        sign(people.client, out)
    assert SignOff.objects.count() == 1


@pytest.mark.parametrize("name", ["", "   ", "x" * 121])
def test_sign_asks_for_a_typed_name(people, out, name):
    with pytest.raises(ValidationError):
        sign(people.client, out, name)
    assert not SignOff.objects.exists()


def test_decline_opens_the_brief_and_the_earlier_signature_does_not_carry_over(people, out):
    sign(people.photographer, out)
    actions.decline(again(people.client), digest=out.digest, typed_name="Ben Lee", reason="The old packaging.")
    brief.settle_terms(again(people.producer), media="Screens")
    second = brief.put_forward(again(people.producer))
    sign(people.client, second)

    assert again(people.client).campaign.locked_version is None
    sign(people.photographer, second)
    assert again(people.client).campaign.locked_version == second


def test_decline_asks_for_a_reason(people, out):
    with pytest.raises(ValidationError, match="what would have to change"):
        actions.decline(people.client, digest=out.digest, typed_name="Ben Lee", reason=" ")
    assert again(people.client).campaign.open_version == out


def test_after_the_lock_nothing_is_edited_signed_or_put_forward(people, out):
    sign(people.client, out)
    sign(people.photographer, out)
    for act in (
        lambda: brief.settle_terms(again(people.producer), media="Screens"),
        lambda: brief.put_forward(again(people.producer)),
    ):
        with pytest.raises(BriefClosed, match="locked as version 1"):
            act()
    with pytest.raises(BriefClosed, match="no longer out"):
        sign(people.client, out)
    with pytest.raises(BriefClosed, match="not out"):
        brief.withdraw(again(people.producer), reason="Too late")


def at_once(*calls):
    """Run calls in threads that start together; their exceptions, in order, None for those that returned."""
    ready = threading.Barrier(len(calls))
    ends = [None] * len(calls)

    def run(at, call):
        try:
            ready.wait(10)
            call()
        except Exception as error:  # noqa: BLE001  it is the result that the test looks at
            ends[at] = error
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=pair) for pair in enumerate(calls)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    return ends


@pytest.mark.django_db(transaction=True)
def test_the_same_signature_at_once_is_one(people, out):
    ends = at_once(*[lambda: sign(people.client, out)] * 4)

    assert sorted(str(end) for end in ends) == ["None", *["You have answered this version already."] * 3]
    assert SignOff.objects.count() == 1
    assert LogEntry.objects.filter(act="version.signed").count() == 1


@pytest.mark.django_db(transaction=True)
def test_two_last_signatures_at_once_lock_once(people, out):
    ends = at_once(lambda: sign(people.client, out), lambda: sign(people.photographer, out))

    assert ends == [None, None]
    assert SignOff.objects.count() == 2
    assert LogEntry.objects.filter(act="version.locked").count() == 1
    assert again(people.client).campaign.locked_version == out


@pytest.mark.django_db(transaction=True)
def test_a_signature_and_a_withdrawal_at_once_do_not_both_hold(people, out):
    sign(people.photographer, out)
    ends = at_once(
        lambda: sign(people.client, out),
        lambda: brief.withdraw(again(people.producer), reason="A typing error"),
    )

    assert sum(end is None for end in ends) == 1
    assert isinstance(next(end for end in ends if end), BriefClosed)
    locked = again(people.client).campaign.locked_version
    assert (locked == out) == (ends[0] is None)


@pytest.mark.django_db(transaction=True)
def test_two_versions_put_forward_at_once_are_one(people):
    ends = at_once(*[lambda: brief.put_forward(again(people.producer))] * 3)

    assert sum(end is None for end in ends) == 1
    assert Version.objects.count() == 1
