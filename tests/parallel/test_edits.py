"""Protects edits at the same instant: all that fit are kept, the others are shown, and nothing is lost."""

from html import unescape

import pytest
from django.urls import reverse

from portal.access import Role
from portal.models import LogEntry
from shots.models import HeroFood, Prop, Shot
from tests.factories import HeroFoodFactory
from tests.filled import filled

ROUNDS = range(3)


def shots(name, campaign, *keys):
    return reverse(f"shots:{name}", args=[campaign.key, *keys])


@pytest.mark.parametrize("round", ROUNDS)
def test_two_who_change_one_field_at_once(campaign, person, at_once, round):
    food = HeroFood.objects.get()
    url = shots("food", campaign, food.key)
    people = {name: person(Role.STYLIST) for name in ("Hers", "His")}
    forms = {name: filled(browser.get(url)) | {"supplier": name, "backup": "6"} for name, browser in people.items()}
    answers = at_once([lambda name=name: people[name].post(url, forms[name]) for name in people])
    assert sorted(answer.status_code for answer in answers) == [303, 422]
    won, lost = (next(name for name, a in zip(people, answers, strict=True) if a.status_code == s) for s in (303, 422))
    food.refresh_from_db()
    assert food.supplier == won
    shown = next(answer for answer in answers if answer.status_code == 422)
    assert filled(shown)["supplier"] == [lost]
    assert f"{people[won].member} wrote this at" in unescape(shown.text)
    entry = LogEntry.objects.get(act="food.edited")
    assert (entry.actor, entry.payload["now"]) == (people[won].member.key, {"supplier": won})


@pytest.mark.parametrize("round", ROUNDS)
def test_two_who_change_two_fields_of_one_thing_at_once(campaign, person, at_once, round):
    food = HeroFood.objects.get()
    url = shots("food", campaign, food.key)
    one, other = person(Role.STYLIST), person(Role.PHOTOGRAPHER)
    mine, hers = filled(one.get(url)) | {"backup": "24"}, filled(other.get(url)) | {"prep": "Warm milk last."}
    answers = at_once([lambda: one.post(url, mine), lambda: other.post(url, hers)])
    assert [answer.status_code for answer in answers] == [303, 303]
    food.refresh_from_db()
    assert (food.backup, food.prep) == (24, "Warm milk last.")
    changed = LogEntry.objects.filter(act="food.edited").values_list("payload__now", flat=True)
    assert sorted(changed, key=str) == [{"backup": 24}, {"prep": "Warm milk last."}]


def test_ten_people_who_edit_ten_things_at_once(campaign, person, at_once):
    shot = Shot.objects.get()
    foods = [*HeroFood.objects.all(), *HeroFoodFactory.create_batch(9, shot=shot)]
    people = [person(Role.STYLIST) for _ in foods]
    urls = [shots("food", campaign, food.key) for food in foods]
    forms = [
        filled(browser.get(url)) | {"supplier": f"Kitchen {number}"}
        for number, (browser, url) in enumerate(zip(people, urls, strict=True))
    ]
    sends = [
        lambda one=one, url=url, form=form: one.post(url, form)
        for one, url, form in zip(people, urls, forms, strict=True)
    ]
    answers = at_once(sends)
    assert [answer.status_code for answer in answers] == [303] * 10
    assert [HeroFood.objects.get(pk=food.pk).supplier for food in foods] == [f"Kitchen {n}" for n in range(10)]
    actors = LogEntry.objects.filter(act="food.edited").values_list("actor", flat=True)
    assert sorted(actors) == sorted(browser.member.key for browser in people)


@pytest.mark.parametrize("round", ROUNDS)
def test_a_removal_that_races_an_edit(campaign, person, at_once, round):
    food = HeroFood.objects.get()
    edit, remove = shots("food", campaign, food.key), shots("remove-food", campaign, food.key)
    one, other = person(Role.STYLIST), person(Role.STYLIST)
    mine, question = filled(one.get(edit)) | {"supplier": "Mine"}, filled(other.get(remove))
    edited, removed = (
        answer.status_code for answer in at_once([lambda: one.post(edit, mine), lambda: other.post(remove, question)])
    )
    acts = list(LogEntry.objects.filter(subject=f"food/{food.key}").values_list("act", flat=True))
    if HeroFood.objects.filter(pk=food.pk).exists():
        # The edit came first: whoever wanted it removed is shown what was changed.
        assert (edited, removed, acts) == (303, 422, ["food.edited"])
    else:
        assert (edited, removed, acts) == (404, 303, ["food.removed"])


@pytest.mark.parametrize("round", ROUNDS)
def test_shots_added_at_once_have_numbers_of_their_own(campaign, person, at_once, round):
    people = [person(Role.PRODUCER) for _ in range(3)]
    url = shots("add", campaign)
    forms = [filled(browser.get(url)) | {"title": f"Shot of {n}"} for n, browser in enumerate(people)]
    answers = at_once([lambda b=b, f=f: b.post(url, f) for b, f in zip(people, forms, strict=True)])
    assert [answer.status_code for answer in answers] == [303] * 3
    assert sorted(campaign.shots.values_list("number", flat=True)) == [1, 2, 3, 4]
    assert campaign.formats.get().placements.count() == 4


@pytest.mark.parametrize(
    ("name", "typed", "made"),
    [
        ("add", {"title": "Tall stack"}, Shot),
        ("add-food", {"name": "Stack", "hero": "2", "stand_in": "1", "backup": "4"}, HeroFood),
        ("add-prop", {"name": "Jug", "quantity": "2", "basis": "hire"}, Prop),
    ],
)
def test_a_double_click_that_arrives_at_once_makes_one_thing(campaign, person, at_once, name, typed, made):
    browser, before = person(Role.PRODUCER), made.objects.count()
    url = shots(name, campaign, *([] if name == "add" else [Shot.objects.get().key]))
    form = filled(browser.get(url)) | typed
    first, second = at_once([lambda: browser.post(url, form)] * 2)
    assert (first.status_code, second.status_code) == (303, 303)
    assert first["Location"] == second["Location"]
    assert made.objects.count() == before + 1
    assert LogEntry.objects.filter(act__endswith=".added", payload__has_key="once").count() == 1
