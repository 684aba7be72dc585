"""Protects a change that several people decide at once, and what it opens meanwhile: one decision, with one effect."""

import itertools
import json

import pytest
from django.urls import reverse
from django.utils.timezone import localdate

from portal.access import Role
from portal.brief import actions as brief
from portal.changes import actions
from portal.models import Change, Delegation, LogEntry, Member, Version
from portal.sealing import actions as sealing
from shots.food.actions import edit_food
from shots.models import HeroFood
from tests.filled import filled

ROUNDS = range(3)
OFFICE = {"why": "It is out of stock.", "asked_by": "Mira Holt"}
ENDS = ("change.accepted", "change.refused", "change.withdrawn")


def again(member: Member) -> Member:
    return Member.objects.select_related("campaign", "user").get(pk=member.pk)


@pytest.fixture
def people(person):
    """Two signers who decide, whoever raises changes, and whoever puts versions forward."""
    return {
        "client": person(Role.CLIENT, may_sign=True),
        "agency": person(Role.AGENCY, may_sign=True),
        "stylist": person(Role.STYLIST),
        "producer": person(Role.PRODUCER),
    }


@pytest.fixture
def form_of_the_food(campaign, people):
    """As the stylist read it while the brief was open, with one word of it changed."""
    url = reverse("shots:food", args=[campaign.key, HeroFood.objects.get().key])
    return url, filled(people["stylist"].get(url)) | {"supplier": "At the last moment"}


@pytest.fixture
def locked(form_of_the_food, people) -> Version:
    return lock(people)


def lock(people) -> Version:
    version = brief.put_forward(again(people["producer"].member))
    for key in version.signers:
        signer = Member.objects.select_related("campaign", "user").get(key=key)
        sealing.sign(signer, digest=version.digest, typed_name="As typed")
    return version


def raised(people, *sections: str) -> Change:
    token = f"token-{Change.objects.count():04}"
    places = [(section, "") for section in sections]
    return actions.raise_change(
        again(people["stylist"].member), what="Another bun.", opens=places, sent_as=token, **OFFICE
    )


def sends(browser, name: str, change: Change):
    url = reverse(f"portal:{name}-change", args=[change.campaign.key, change.key])
    form = {"typed_name": "As typed", "why": "Said so."}
    return lambda: browser.post(url, form).status_code


def logged(*acts: str) -> list[str]:
    return list(LogEntry.objects.filter(act__in=acts).order_by("sequence").values_list("act", flat=True))


ANSWERS = {"accept": ("client", "accepted"), "refuse": ("agency", "refused"), "withdraw": ("stylist", "withdrawn")}


@pytest.mark.parametrize("round", ROUNDS)
@pytest.mark.parametrize(
    "words", [*itertools.combinations(ANSWERS, 2), tuple(ANSWERS)], ids=lambda words: " and ".join(words)
)
def test_one_of_several_answers_at_once_is_the_decision(locked, people, at_once, words, round):
    change = raised(people, "food")
    given = at_once([sends(people[ANSWERS[word][0]], word, change) for word in words])
    assert sorted(given) == [302] + [409] * (len(words) - 1)
    who, state = ANSWERS[words[given.index(302)]]
    change.refresh_from_db()
    assert (change.state, change.decided_by) == (state, people[who].member)
    assert logged(*ENDS) == [f"change.{state}"]


@pytest.mark.parametrize("round", ROUNDS)
def test_two_signers_who_accept_at_once_are_one_acceptance(locked, people, at_once, round):
    change = raised(people, "food")
    given = at_once([sends(people[who], "accept", change) for who in ("client", "agency")])
    assert sorted(given) == [302, 409]
    change.refresh_from_db()
    assert change.decided_by == people[("client", "agency")[given.index(302)]].member
    assert logged(*ENDS) == ["change.accepted"]


@pytest.fixture
def deputy(campaign, people, person):
    """A colleague of the agency's signer, who signs and decides for them today."""
    browser, today = person(Role.AGENCY), localdate()
    days = {"first_day": today, "last_day": today}
    asked = people["agency"].post(reverse("portal:delegate", args=[campaign.key]), {"to": browser.member.key, **days})
    assert asked.status_code == 302
    return browser


def sends_for(browser, signer, change: Change):
    args = [change.campaign.key, change.key, signer.member.key]
    return lambda: browser.post(reverse("portal:accept-change-for", args=args), {"typed_name": "As typed"}).status_code


@pytest.mark.parametrize("round", ROUNDS)
def test_the_signer_and_who_decides_for_them_at_once_are_one_decision(locked, people, deputy, at_once, round):
    change = raised(people, "food")
    given = at_once([sends(people["agency"], "accept", change), sends_for(deputy, people["agency"], change)])
    assert sorted(given) == [302, 409]
    change.refresh_from_db()
    own = given[0] == 302
    assert change.decided_by == (people["agency"] if own else deputy).member
    assert change.decided_for == (None if own else people["agency"].member)
    assert logged(*ENDS) == ["change.accepted"]


@pytest.mark.parametrize("round", ROUNDS)
def test_a_decision_and_the_end_of_the_leave_to_give_it(campaign, locked, people, deputy, at_once, round):
    change = raised(people, "food")
    end = reverse("portal:end-delegation", args=[campaign.key, Delegation.objects.get().key])
    given, ended = at_once(
        [sends_for(deputy, people["agency"], change), lambda: people["agency"].post(end).status_code]
    )
    assert ended == 302
    assert given in (302, 403)
    told = logged("change.accepted", "signing.delegation-ended")
    assert told == ["change.accepted"] * (given == 302) + ["signing.delegation-ended"]


@pytest.mark.parametrize("word", ANSWERS)
def test_a_double_click_of_an_answer_is_one(locked, people, at_once, word):
    change, (who, state) = raised(people, "food"), ANSWERS[word]
    assert at_once([sends(people[who], word, change)] * 3) == [302] * 3
    change.refresh_from_db()
    assert (change.state, change.decided_by) == (state, people[who].member)
    assert logged(*ENDS) == [f"change.{state}"]


@pytest.mark.parametrize("round", ROUNDS)
def test_an_acceptance_at_the_instant_of_a_version(campaign, locked, people, at_once, round):
    """Either the form was of a draft without it and is refused, or the version goes without it and it stays to cite."""
    first = raised(people, "food")
    actions.accept_change(again(people["client"].member), first.key, typed_name="As typed")
    edit_food(again(people["stylist"].member), HeroFood.objects.get().key, supplier="Another")
    second = raised(people, "light")
    url = reverse("portal:put-forward", args=[campaign.key])
    form = filled(people["producer"].get(url))
    put, accepted = at_once(
        [lambda: people["producer"].post(url, form).status_code, sends(people["client"], "accept", second)]
    )
    assert accepted == 302
    assert logged("change.accepted") == ["change.accepted"] * 2
    if put == 409:
        assert Version.objects.count() == 1
        out = brief.put_forward(again(people["producer"].member))
    else:
        assert put == 302
        out = Version.objects.get(number=2)
    cites = [row["id"] for row in json.loads(out.document)["changes"]]
    assert cites == ([first.key, second.key] if put == 409 else [first.key])
    for key in out.signers:
        sealing.sign(again(Member.objects.get(key=key)), digest=out.digest, typed_name="As typed")
    second.refresh_from_db()
    assert second.in_version == (out if put == 409 else None)


@pytest.mark.parametrize("round", ROUNDS)
def test_an_edit_at_the_instant_of_the_acceptance_that_opens_its_place(
    campaign, locked, people, form_of_the_food, at_once, round
):
    """It comes after it and is kept, or before it and is refused, and then it can be sent again."""
    url, form = form_of_the_food
    change = raised(people, "food")
    accepted, edited = at_once(
        [sends(people["client"], "accept", change), lambda: people["stylist"].post(url, form).status_code]
    )
    assert accepted == 302
    assert edited in (303, 409)
    kept = edited == 303
    assert HeroFood.objects.get().supplier == ("At the last moment" if kept else "Invented kitchen")
    assert logged("change.accepted", "food.edited") == ["change.accepted"] + ["food.edited"] * kept
    if not kept:  # sent once more, the same form is taken
        assert people["stylist"].post(url, form).status_code == 303
        assert logged("change.accepted", "food.edited") == ["change.accepted", "food.edited"]


@pytest.mark.parametrize("round", ROUNDS)
def test_an_edit_at_the_instant_of_a_refusal_is_not_taken(locked, people, form_of_the_food, at_once, round):
    url, form = form_of_the_food
    change = raised(people, "food")
    edited, refused = at_once(
        [lambda: people["stylist"].post(url, form).status_code, sends(people["client"], "refuse", change)]
    )
    assert (edited, refused) == (409, 302)
    assert HeroFood.objects.get().supplier == "Invented kitchen"
    assert logged("food.edited") == []
