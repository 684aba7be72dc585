"""Protects comparing versions, what changed since one last looked, and the check of a stamp: each as its reader may."""

import zlib

import pytest
from django.core.files.base import ContentFile
from django.urls import reverse

from portal.access import Role
from portal.brief import actions, looking, sections, stamps
from portal.brief.documents import current, draft_of, of_version
from portal.brief.models import Look
from portal.brief.sections import Picture, Section
from portal.papers.stamping import stamp
from portal.sealing import actions as sealing
from portal.sealing import queries
from tests.agreed_world import agreed
from tests.factories import CampaignFactory, MemberFactory
from tests.portal.conftest import again


def at(name, member, *args):
    return reverse(f"portal:{name}", args=[member.campaign.key, *args])


@pytest.fixture
def twice(people, out, monkeypatch, bare):
    """Version 1 withdrawn, then other media and another sum of money; version 2 is out."""
    actions.withdraw(people.producer, reason="Again")
    own = sections._sections["money"]
    dearer = Section("money", "Money", 90, lambda _: {"title": "£9999.99"}, own.template, read=own.read)
    monkeypatch.setitem(sections._sections, "money", dearer)
    actions.settle_terms(again(people.producer), media="Screens")
    return out, actions.put_forward(again(people.producer))


def lock(people, version):
    for signer in (people.client, people.photographer):
        sealing.sign(again(signer), digest=version.digest, typed_name="X")


def test_two_versions_are_compared_in_what_the_reader_may_read(people, twice, sign_in):
    asked = {"old": "1", "new": "2"}
    rich = sign_in(people.producer).get(at("compare", people.producer), asked).text
    assert "Two things differ, in two sections." in rich
    assert "£9999.99" in rich
    poor = sign_in(people.client).get(at("compare", people.client), asked).text
    assert "One thing differs, in one section." in poor
    assert "Screens" in poor
    assert "Outdoor posters" in poor
    assert "£" not in poor


def test_without_a_choice_the_newest_change_is_shown(people, twice, sign_in):
    assert "<h1" in (text := sign_in(people.assistant).get(at("compare", people.assistant)).text)
    assert "Versions 1 and 2" in text
    actions.withdraw(again(people.producer), reason="Again")
    actions.settle_terms(again(people.producer), territory="Secret territory")
    assert "Version 2 and the draft" in sign_in(people.client).get(at("compare", people.client)).text
    hidden = sign_in(people.assistant).get(at("compare", people.assistant)).text
    assert "Versions 1 and 2" in hidden
    assert "Secret territory" not in hidden


def test_the_draft_is_compared_by_who_may_read_it(people, twice, sign_in):
    asked = {"old": "2", "new": "draft"}
    assert sign_in(people.assistant).get(at("compare", people.assistant), asked).status_code == 403
    assert sign_in(people.client).get(at("compare", people.client), asked).status_code == 200
    assert sign_in(people.client).get(at("compare", people.client), {"old": "1", "new": "7"}).status_code == 404


def test_two_identical_versions_say_so(people, out, sign_in):
    actions.withdraw(people.producer, reason="Again")
    actions.put_forward(again(people.producer))
    text = sign_in(people.client).get(at("compare", people.client)).text
    assert "word for word and picture for picture this is one brief" in text


def test_a_difference_out_of_sight_is_not_called_none(people, out, sign_in, monkeypatch):
    actions.withdraw(people.producer, reason="Again")
    own = sections._sections["money"]
    other = Section("money", "Money", 90, lambda _: {"title": "£1"}, own.template, read=own.read)
    monkeypatch.setitem(sections._sections, "money", other)
    actions.put_forward(again(people.producer))
    text = sign_in(people.client).get(at("compare", people.client)).text
    assert "Nothing differs in what you may read." in text
    assert "Their digests differ, in what your role does not read." in text


def test_the_first_reading_is_kept_and_what_comes_after_is_told(people, sign_in):
    reader = sign_in(people.stylist)
    assert "You have not read this brief yet" in reader.get(at("since", people.stylist)).text
    reader.get(at("brief", people.stylist))
    assert "Since you last looked" not in reader.get(at("campaign", people.stylist)).text
    actions.settle_terms(again(people.producer), media="Screens")

    first = reader.get(at("campaign", people.stylist)).text
    assert "one thing has happened to the brief" in first
    page = reader.get(at("since", people.stylist)).text
    assert "One thing differs, in one section." in page
    assert "Outdoor posters" in page
    reader.get(at("brief", people.stylist))  # reading on does not move the mark
    assert "One thing differs" in reader.get(at("since", people.stylist)).text

    digest = draft_of(again(people.stylist).campaign).digest
    assert reader.post(at("since", people.stylist), {"digest": digest}).status_code == 302
    assert "happened to the brief" not in reader.get(at("campaign", people.stylist)).text
    assert "Nothing in it differs" in reader.get(at("since", people.stylist)).text


def test_what_was_not_on_the_page_is_not_marked_as_seen(people, sign_in):
    reader = sign_in(people.stylist)
    reader.get(at("brief", people.stylist))
    digest = draft_of(again(people.stylist).campaign).digest
    actions.settle_terms(again(people.producer), media="Screens")
    reader.post(at("since", people.stylist), {"digest": digest})
    assert "One thing differs" in reader.get(at("since", people.stylist)).text


def test_what_is_kept_of_a_reading_is_what_the_reader_may_read(people):
    for member, reads in ((people.client, False), (people.producer, True)):
        looking.keep(again(member), draft_of(people.campaign))
        kept = Look.objects.get(member=member)
        assert (b"4210.55" in zlib.decompress(bytes(kept.document))) is reads
    assert Look.objects.count() == 2


def test_talk_is_no_change_of_the_brief(people, sign_in):
    from portal.talk import actions as talk

    reader = sign_in(people.client)
    reader.get(at("brief", people.client))
    talk.comment(again(people.producer), kind="campaign", key=people.campaign.key, text="Hi", audience="everyone")
    assert "happened to the brief" not in reader.get(at("campaign", people.client)).text


def test_who_may_not_read_the_draft_is_told_of_versions_alone(people, out, sign_in):
    reader = sign_in(people.assistant)
    reader.get(at("brief", people.assistant))
    actions.withdraw(people.producer, reason="Again")
    actions.settle_terms(again(people.producer), media="Secret screens")
    assert "happened to the brief" not in reader.get(at("campaign", people.assistant)).text
    assert "Secret screens" not in reader.get(at("since", people.assistant)).text
    second = actions.put_forward(again(people.producer))
    assert "three things have happened to the brief" not in reader.get(at("campaign", people.assistant)).text
    assert "two things have happened to the brief" in reader.get(at("campaign", people.assistant)).text
    assert "Secret screens" in reader.get(at("since", people.assistant)).text
    assert Look.objects.get(member=people.assistant).number == 1
    assert second.number == 2


# ---- the check of a stamp


def shown(version):
    return f"{version.digest[:4]} {version.digest[4:8]}"


def answer(people, typed, draft=None):
    return stamps.look_up(typed, queries.versions(again(people.client).campaign), draft)


def test_a_stamp_tells_the_locked_version_from_every_other(people, twice):
    first, second = twice
    assert answer(people, shown(second)).says == (
        f"{shown(second)} is version 2, which is out for signature. It is not locked."
    )
    lock(people, second)
    held = f"{shown(second)} is version 2, the locked one: this is what was signed."
    for typed in (
        shown(second),
        f"Version 2, locked, {shown(second).upper()}",
        f"v2 {second.digest[:16]}",
        second.digest,
        f"version 2 {second.digest[:11]}",
    ):
        assert (answer(people, typed).says, answer(people, typed).holds) == (held, True)
    rest = "The one that holds is version 2."
    old = answer(people, shown(first))
    assert (old.holds, old.says) == (
        False,
        f"{shown(first)} is version 1, which was withdrawn. It is not locked. {rest}",
    )
    unknown = "is no version of this brief. It may be from a draft that has changed since."
    assert answer(people, "0000 0000").says == f"0000 0000 {unknown} {rest}"
    for typed in ("", "9c41", "version 2", "zzzz zzzz", second.digest[:8] + "9999", shown(second)[:-1]):
        assert not answer(people, typed).holds


def test_a_short_form_says_how_many_characters_are_needed(people, out):
    assert answer(people, out.digest[:4]).says == (
        "Four characters are not enough. Type the first 8 of the digest, such as 9c41 e07b."
    )
    assert answer(people, "Version 2").says.startswith("A stamp ends in eight characters")


def test_a_number_that_does_not_fit_its_digest_is_said(people, twice):
    _, second = twice
    lock(people, second)
    found = answer(people, f"version 1, {shown(second)}")
    assert not found.holds
    assert found.says == (
        f"{shown(second)} is the digest of version 2. The stamp says version 1, and that is not the one: read it again."
        " The one that holds is version 2."
    )


def test_one_brief_put_forward_twice_holds_under_both_numbers(people, out):
    actions.withdraw(people.producer, reason="Again")
    second = actions.put_forward(again(people.producer))
    lock(people, second)
    assert answer(people, f"version 1, {shown(out)}").says == (
        f"{shown(out)} is version 1, which was withdrawn. Version 2, which is locked, is word for word the same."
    )
    assert answer(people, f"version 1, {shown(out)}").holds
    assert answer(people, shown(out)).says == f"{shown(out)} is version 2, the locked one: this is what was signed."


def test_digests_that_begin_alike_are_told_apart_by_more_characters(people, twice):
    found = queries.versions(again(people.client).campaign)
    found[0].version.digest = "9c41e07b1" + "0" * 55
    found[1].version.digest = "9c41e07b1" + "1" * 55
    assert stamps.look_up("9c41 e07b", found, None).says == (
        "9c41 e07b begins the digests of versions 1 and 2. Type 10 characters to tell them apart."
    )


def test_the_page_says_what_moved_since(people, twice, sign_in):
    first, second = twice
    lock(people, second)
    reader = sign_in(people.stylist)
    page = reader.get(at("check", people.stylist), {"stamp": shown(first)}).text
    assert "It is not the locked version." in page
    assert "What has moved since, in version 2" in page
    assert "Screens" in page
    assert "£" not in page
    assert "It holds." in reader.get(at("check-stamp", people.stylist, f"v2-{second.digest[:16]}")).text


def test_what_cannot_be_read_as_a_stamp_gets_no_verdict(people, out, sign_in):
    lock(people, out)
    for typed, verdict in (("9c41", False), ("no idea", False), ("0000 0000", True)):
        page = sign_in(people.stylist).get(at("check", people.stylist), {"stamp": typed}).text
        assert ("It cannot be relied on." in page) is verdict
        assert "It holds" not in page


def test_a_list_of_the_locked_version_is_told_what_a_change_has_opened_since(monkeypatch, sign_in, db):
    world = agreed(monkeypatch)
    world.opened(("props", world.shots[1].key))
    asked = {"stamp": world.now().locked_version.digest[:8]}
    for member, says in (
        (world.stylist, "Since then change 1 has opened the props of shot 2: what it says there may move"),
        (world.other, "Since then a change has opened part of it: ask the producer what may move"),
    ):
        page = sign_in(member).get(at("check", member), asked).text
        assert says in page
        assert "It holds, but for what a change has opened." in page
        assert "It holds." not in page


def test_a_stamp_of_the_draft_is_known_to_who_may_read_it(people, sign_in):
    digest = draft_of(people.campaign).digest
    asked = {"stamp": digest[:8]}
    assert "is the draft as it now stands" in sign_in(people.client).get(at("check", people.client), asked).text
    assert "is no version of this brief" in sign_in(people.assistant).get(at("check", people.assistant), asked).text


def test_the_address_on_a_list_leads_to_the_check_of_that_very_list(people, out, sign_in, settings):
    lock(people, out)
    campaign = again(people.client).campaign
    printed = stamp(campaign, of_version(out, campaign)).address
    assert printed.startswith(settings.ADDRESS)
    page = sign_in(people.stylist).get(printed.removeprefix(settings.ADDRESS))
    assert "It holds." in page.text
    assert sign_in(MemberFactory(role=Role.PRODUCER)).get(printed.removeprefix(settings.ADDRESS)).status_code == 404


def test_the_address_on_a_drafts_list_leads_there_too(people, sign_in, settings):
    printed = stamp(people.campaign, current(people.campaign)).address.removeprefix(settings.ADDRESS)
    assert "is the draft as it now stands" in sign_in(people.client).get(printed).text
    actions.settle_terms(again(people.producer), media="Screens")
    assert "is no version of this brief" in sign_in(people.client).get(printed).text


# ---- pictures


def test_pictures_are_those_of_sections_and_versions_that_the_reader_may_read(people, monkeypatch, bare, sign_in):
    from django.core.files.storage import default_storage

    path = default_storage.save("derived/x.png", ContentFile(b"a picture"))
    inside, outside = "a" * 64, "b" * 64
    copies = {sha: Picture(path, "png", 4, 3) for sha in (inside, outside)}

    def section(name, **more):
        find = lambda _, wanted: {sha: copies[sha] for sha in wanted if sha in copies}  # noqa: E731
        data = [{"id": "x", "sha256": inside}]
        return Section(name, name, 20, lambda _: data, bare.template, pictures=find, **more)

    monkeypatch.setitem(sections._sections, "pictures", section("pictures"))
    monkeypatch.setitem(sections._sections, "costs", section("costs", read=bare.read))

    def status(member, *args):
        answer = sign_in(member).get(at("version-picture", member, *args))
        if answer.streaming:
            b"".join(answer)
        return answer.status_code

    assert status(people.assistant, "pictures", inside) == 404  # of a draft
    assert status(people.client, "pictures", inside) == 200
    actions.put_forward(again(people.producer))
    assert status(people.assistant, "pictures", inside) == 200
    assert status(people.assistant, "pictures", outside) == 404
    assert status(people.client, "costs", inside) == 404
    assert status(people.producer, "costs", inside) == 200
    assert status(people.producer, "unknown", inside) == 404


@pytest.mark.parametrize("name", ["compare", "since", "check"])
def test_outsiders_find_nothing(people, out, sign_in, name):
    outsider = sign_in(MemberFactory(campaign=CampaignFactory(), role=Role.PRODUCER))
    assert outsider.get(at(name, people.client)).status_code == 404
