"""Protects how pasted people and language tags are read, and how what waits is put into sentences."""

import pytest
from django.conf.locale import LANG_INFO
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.timezone import localdate

from portal.access import Audience, Role
from portal.brief.models import Version
from portal.changes.actions import raise_change
from portal.delegation.models import Delegation
from portal.people import queries
from portal.people.addresses import Person, read_people
from portal.people.languages import NAMES, read_tag, read_tags
from portal.people.waiting import lead, people_say
from portal.sealing.models import SignOff
from portal.talk.models import Comment
from tests.factories import CampaignFactory, MemberFactory, UserFactory, member_of
from tests.locked import lock
from tests.portal.conftest import again


@pytest.mark.parametrize(
    ("line", "person"),
    [
        ("ida@example.com", Person("", "ida@example.com")),
        ("Ida Moss <Ida@Example.com>", Person("Ida Moss", "ida@example.com")),
        ('"Moss, Ida" <ida@example.com>', Person("Moss, Ida", "ida@example.com")),
        ("Ida Moss ida@example.com", Person("Ida Moss", "ida@example.com")),
        ("ida@example.com, Ida Moss", Person("Ida Moss", "ida@example.com")),
        ("Ida Moss\tida@example.com", Person("Ida Moss", "ida@example.com")),
        ("  ida@example.com ; ", Person("", "ida@example.com")),
    ],
)
def test_read_people_takes_a_line_as_people_write_it(line, person):
    assert read_people(line) == [person]


def test_read_people_says_which_lines_are_wrong_and_reads_none():
    with pytest.raises(ValidationError) as refusal:
        read_people("ida@example.com\n\nIda at example\nIDA@example.com\na@b.example c@d.example")

    assert refusal.value.messages == [
        "Line 3, “Ida at example”, has no e-mail address that mail could reach.",
        "Line 4 names ida@example.com a second time.",
        "Line 5, “a@b.example c@d.example”, has no e-mail address that mail could reach.",
    ]


@pytest.mark.parametrize(
    ("text", "says"), [(" \n", "at least one"), ("\n".join(f"p{n}@e.example" for n in range(51)), "51")]
)
def test_read_people_refuses_none_and_too_many(text, says):
    with pytest.raises(ValidationError, match=says):
        read_people(text)


# RFC 5646, appendix A, "Examples of Language Tags": simple, with script, with region, with variant; spelt as there.
@pytest.mark.parametrize(
    "tag",
    ["de", "fr", "ja", "zh-Hant", "zh-Hans", "sr-Cyrl", "sr-Latn", "cmn-Hans-CN", "yue-HK", "zh-Hans-CN", "sr-Latn-RS",
     "sl-rozaj", "sl-nedis", "de-CH-1901", "sl-IT-nedis", "hy-Latn-IT-arevela", "de-DE", "en-US", "es-419"],
)  # fmt: skip
def test_read_tag_takes_the_examples_of_the_standard_in_any_case(tag):
    assert read_tag(tag) == tag
    assert read_tag(tag.upper()) == tag
    assert read_tag(tag.lower().replace("-", "_")) == tag


# The first two are RFC 5646, appendix A, "Some Invalid Tags"; "en-UK" is common practice, and wrong.
@pytest.mark.parametrize("text", ["de-419-DE", "a-DE", "Welsh", "english", "", "en-GB-", "xx", "gb", "en-UK", "en GB"])
def test_read_tag_refuses_what_is_no_tag(text):
    with pytest.raises(ValidationError):
        read_tag(text)


def test_every_language_offered_is_a_tag_in_its_spelling():
    assert [read_tag(tag) for tag in NAMES] == list(NAMES)


def test_no_language_that_django_knows_is_refused():
    """Against Django's own table of languages (django.conf.locale)."""
    two_letters = {code.split("-")[0] for code in LANG_INFO if len(code.split("-")[0]) == 2}
    assert [code for code in sorted(two_letters) if read_tag(code) != code] == []


def test_read_tags_keeps_the_order_and_says_all_that_is_wrong():
    assert read_tags(["cy", "en_gb", "CY"]) == ["cy", "en-GB"]
    with pytest.raises(ValidationError) as refusal:
        read_tags(["Welsh", "cy", "en-UK"])
    assert len(refusal.value.messages) == 2


# ---- what waits


def put_out(campaign, *signers):
    version = Version.objects.create(
        campaign=campaign, number=2, document="{}", sections={}, digest="0" * 64,
        signers=[signer.key for signer in signers], put_forward_by=signers[0], put_forward_at=timezone.now(),
    )  # fmt: skip
    campaign.open_version = version
    campaign.save()
    return version


def say(author, audience=Audience.EVERYONE, **fields):
    return Comment.objects.create(
        campaign=author.campaign, author=author, audience=audience, subject="campaign", text="?", **fields
    )


def only(user):
    (row,) = queries.waiting(user)
    return row


def test_waiting_counts_what_the_role_has_to_put_right(db):
    campaign = CampaignFactory(standing={"must_fix": 5, "by_role": {"designer": 3, "stylist": 1}})
    designer, stylist, lighting = (member_of(campaign, role) for role in (Role.DESIGNER, Role.STYLIST, Role.LIGHTING))

    assert only(designer.user).says == ["Three things of yours stand between the brief and the lock."]
    assert only(stylist.user).says == ["One thing of yours stands between the brief and the lock."]
    assert only(lighting.user).says == []
    assert (
        only(lighting.user).rest
        == "Five things stand between the brief and the lock. None of it is yours to put right."
    )


def test_waiting_asks_a_signer_until_they_have_signed(db):
    client = MemberFactory(role=Role.CLIENT, may_sign=True)
    other = member_of(client, Role.CLIENT)
    version = put_out(client.campaign, client)

    assert only(client.user).says == ["Version 2 waits for your signature."]
    assert (only(other.user).says, only(other.user).rest) == ([], "Version 2 is out for signature, by others.")

    SignOff.objects.create(
        version=version, member=client, answer="signed", digest="0" * 64, typed_name="C", at=timezone.now()
    )
    assert (only(client.user).says, only(client.user).rest) == ([], "You have signed version 2; others have yet to.")


def test_waiting_says_that_it_is_locked(db):
    client = MemberFactory(role=Role.CLIENT)
    client.campaign.locked_version, client.campaign.standing = (
        put_out(client.campaign, client),
        {"by_role": {"client": 4}},
    )
    client.campaign.open_version = None
    client.campaign.save()

    assert (only(client.user).waits, only(client.user).rest) == (False, "The brief is locked as version 2.")


def test_waiting_counts_comments_of_ones_own_audiences_that_others_ended(db):
    client = MemberFactory(role=Role.CLIENT)
    stylist = member_of(client, Role.STYLIST)
    say(stylist, Audience.WORKING)  # the client must never learn of it
    say(stylist)
    answered = say(client)
    say(stylist, answers=answered)
    say(client)  # waits for the others
    say(stylist, resolved_at=timezone.now())
    say(MemberFactory(role=Role.STYLIST))  # another campaign's

    assert only(client.user).says == ["Two comments wait for an answer."]
    assert only(stylist.user).answer == 1


def test_waiting_leaves_out_other_peoples_campaigns_and_those_left(db):
    user = UserFactory()
    seat = MemberFactory(user=user)
    MemberFactory(user=user, left_at=timezone.now())
    MemberFactory()

    assert [row.seat for row in queries.waiting(user)] == [seat]


@pytest.mark.parametrize("count", [1, 12])
def test_waiting_asks_the_database_five_times_however_many_campaigns(db, django_assert_num_queries, count):
    user = UserFactory()
    for seat in MemberFactory.create_batch(count, user=user, role=Role.CLIENT, may_sign=True):
        seat.campaign.sign_in_order = True
        put_out(seat.campaign, seat)

    # seats, answers to what is out, whose turn it is, who signs for whom, comments
    with django_assert_num_queries(5):
        said = [(row.says, row.rest) for row in queries.waiting(user)]

    assert len(said) == count


@pytest.mark.parametrize("count", [1, 12])
def test_changes_to_decide_for_somebody_are_asked_for_once_however_many_campaigns(db, django_assert_num_queries, count):
    user, today = UserFactory(), localdate()
    for seat in MemberFactory.create_batch(count, user=user, role=Role.CLIENT):
        signer = member_of(seat.campaign, Role.CLIENT, may_sign=True)
        lock(signer, signers=[signer])
        days = {"first_day": today, "last_day": today, "set_up_at": timezone.now()}
        Delegation.objects.create(campaign=seat.campaign, signer=signer, delegate=seat, **days)
        told = {"why": "W", "asked_by": "M", "opens": [], "sent_as": "token-0001"}
        raise_change(again(signer), what="Amber glass.", **told)
    queries.waiting(user)  # brings each campaign's standing up to date

    # seats, who decides for whom, changes, comments
    with django_assert_num_queries(4):
        said = [row.says for row in queries.waiting(user)]

    assert said == [["One change waits for your decision."]] * count


def rows(total, waits):
    return [type("Row", (), {"waits": index < waits})() for index in range(total)]


@pytest.mark.parametrize(
    ("total", "waits", "sentence"),
    [
        (0, 0, "You are in no campaign yet."),
        (1, 0, "Nothing waits for you in your campaign."),
        (1, 1, "Your campaign waits for you."),
        (2, 0, "Nothing waits for you in your two campaigns."),
        (2, 2, "Both your campaigns wait for you."),
        (3, 1, "One of your three campaigns waits for you."),
        (14, 3, "Three of your 14 campaigns wait for you."),
        (3, 3, "All your three campaigns wait for you."),
    ],
)
def test_lead_says_none_one_and_many(total, waits, sentence):
    assert lead(rows(total, waits)) == sentence


def test_lead_of_who_is_in_no_campaign_but_invited():
    assert [lead([], count) for count in (1, 2)] == ["One invitation waits for you.", "Two invitations wait for you."]


def test_people_say_counts_people_signers_and_open_invitations(db):
    producer = MemberFactory()
    signers = [member_of(producer, Role.PHOTOGRAPHER), member_of(producer, Role.CLIENT, may_sign=True)]

    assert people_say([producer], 0) == "One person works on it. Nobody signs yet."
    assert people_say([producer, *signers], 1) == (
        "Three people work on it. Two of them sign. One invitation waits for an answer."
    )


def test_what_signers_have_waived_is_said_of_a_draft_to_who_may_read_it(db):
    designer, outsider = MemberFactory(role=Role.DESIGNER), MemberFactory(role=Role.ASSISTANT)
    for seat in (designer, outsider):
        seat.campaign.standing = {"must_fix": 0, "waived": 2}
        seat.campaign.standing_at = timezone.now()
        seat.campaign.save()
    nothing = "Nothing stands between the brief and being put forward."
    assert only(designer.user).rest == f"{nothing} Two things are waived by signers."
    assert only(outsider.user).rest == ""
