"""Protects the working side: what it says is in no page, count, log, mail, file or fragment that the client can get."""

import json

import pytest
from django.core import mail
from django.urls import get_resolver, reverse

from portal.access import Audience
from portal.brief import standing
from portal.brief.documents import draft_of
from portal.people.queries import waiting
from portal.sealing.log_queries import log_for
from portal.talk import actions
from portal.talk.models import Comment
from tests.factories import FormatFactory, ShotFactory
from tests.mails import post, told
from tests.portal.conftest import again

PLANTED = "PLANTED-4711"


@pytest.fixture
def planted(people):
    """Working-side talk everywhere that talk can be: open, resolved, answered, on campaign, shot and placement."""
    from layouts.formats.actions import fill_grid
    from layouts.models import Placement

    shot = ShotFactory(campaign=people.campaign)
    FormatFactory(campaign=people.campaign)
    fill_grid(people.campaign)
    placement = Placement.objects.get()
    for kind, key in (("campaign", people.campaign.key), ("shot", shot.key), ("placement", placement.key)):
        about = {"kind": kind, "key": key, "audience": Audience.WORKING}
        first = actions.comment(people.photographer, text=f"{PLANTED} open", pin=(0.3, 0.3), **about)
        actions.answer(people.stylist, first.key, text=f"{PLANTED} answer")
        settled = actions.comment(people.designer, text=f"{PLANTED} settled", **about)
        actions.resolve(people.agency, settled.key)
    return people


def every_address(people):
    """Every address of the campaign, with the keys of its rows tried in every place."""
    from layouts.models import Format, Placement
    from shots.models import Shot

    keys = [people.campaign.key, *Comment.objects.values_list("key", flat=True)]
    for model in (Shot, Format, Placement):
        keys += model.objects.values_list("key", flat=True)
    for pattern in _patterns(get_resolver().url_patterns):
        names = [name for name in pattern.pattern.converters if name != "campaign"]
        if "campaign" not in pattern.pattern.converters:
            continue
        for values in _tries(names, keys):
            yield pattern, {"campaign": people.campaign.key, **values}


def _patterns(patterns):
    for pattern in patterns:
        if hasattr(pattern, "url_patterns"):
            prefix = getattr(pattern.pattern, "converters", {})
            for inner in _patterns(pattern.url_patterns):
                inner.pattern.converters.update(prefix)
                yield inner
        elif pattern.name:
            yield pattern


def _tries(names, keys):
    if not names:
        yield {}
    elif names == ["kind", "key"]:
        for kind in ("campaign", "shot", "placement"):
            for key in keys:
                yield {"kind": kind, "key": key}
    elif len(names) == 1:
        for key in keys:
            yield {names[0]: key}
        yield {names[0]: 1}


def test_no_address_gives_the_client_a_word_of_it(planted, sign_in):
    client, asked, answered = sign_in(planted.client), 0, 0
    for pattern, values in every_address(planted):
        for room in ("portal", "shots", "layouts"):
            try:
                url = reverse(f"{room}:{pattern.name}", kwargs=values)
            except Exception:  # noqa: BLE001, S112  not that room's name, or a value that the address does not take
                continue
            for headers in ({}, {"HX-Request": "true"}):
                answer = client.get(url, headers=headers)
                asked += 1
                answered += answer.status_code == 200
                body = b"".join(answer) if answer.streaming else answer.content
                assert PLANTED.encode() not in body, url
                assert planted.photographer.key.encode() not in body or "people" in url, url
    assert asked > 100
    assert answered > 20


def test_the_planted_words_are_there_to_be_found(planted, sign_in):
    """Without this the search above could pass on an empty page."""
    agency = sign_in(planted.agency)
    assert PLANTED in agency.get(reverse("portal:talk", args=[planted.campaign.key])).text
    assert (
        PLANTED
        in agency.get(reverse("portal:thread", args=[planted.campaign.key, "campaign", planted.campaign.key])).text
    )


def test_pages_are_the_same_to_the_letter_with_and_without_it(people, sign_in, request):
    """Not a count, a number, a class or an empty group tells the client that somebody else is talking."""
    names = ("portal:campaign", "portal:talk", "portal:log")
    everyone = actions.comment(
        people.client, kind="campaign", key=people.campaign.key, text="Hello", audience="everyone", pin=(0.1, 0.1)
    )
    about = {"kind": "campaign", "key": people.campaign.key}

    def seen():
        client = sign_in(people.client)
        urls = [reverse(name, args=[people.campaign.key]) for name in names]
        urls += [f"{urls[1]}?show=resolved", reverse("portal:thread", args=[people.campaign.key, *about.values()])]
        return [_without_tokens(client.get(url).text) for url in urls]

    before = seen()
    for n in range(3):
        actions.comment(people.photographer, text=f"{PLANTED} {n}", audience="working", pin=(0.5, 0.5), **about)
    assert seen() == before
    assert everyone.text in "".join(before)


def _without_tokens(text):
    import re

    text = re.sub(r'((?:csrfmiddlewaretoken|once)" value|X-CSRFToken"|nonce)[=:] ?"[^"]*"', "", text)
    return re.sub(r"nonce=\"[^\"]*\"", "", text)


def test_no_count_and_no_list_of_the_client_has_it(planted):
    client = again(planted.client)
    assert not Comment.objects.visible_to(client).exists()
    assert [row.answer for row in waiting(client.user)] == [0]
    assert not log_for(client).filter(act__startswith="comment.").exists()
    standing.refresh(planted.campaign.pk)
    planted.campaign.refresh_from_db()
    with_talk = planted.campaign.standing
    Comment.objects.all().delete()
    standing.refresh(planted.campaign.pk)
    planted.campaign.refresh_from_db()
    assert planted.campaign.standing == with_talk


def test_no_document_and_no_mail_has_it(planted):
    assert PLANTED not in json.dumps(draft_of(planted.campaign).document)
    to = told(post())
    assert planted.client.user.email not in to
    assert planted.stylist.user.email in to
    assert all(PLANTED not in sent.subject + sent.body for sent in mail.outbox)


def test_what_the_buying_side_says_is_not_read_by_the_crew(people, sign_in):
    said = actions.comment(
        people.client, kind="campaign", key=people.campaign.key, text=f"{PLANTED} price", audience=Audience.BUYING
    )
    for name in ("talk", "log", "campaign"):
        url = reverse(f"portal:{name}", args=[people.campaign.key])
        text = sign_in(people.photographer).get(url).text
        assert PLANTED not in text
        assert said.key not in text
    assert not log_for(again(people.designer)).filter(act__startswith="comment.").exists()
    assert log_for(again(people.agency)).filter(act__startswith="comment.").count() == 1
