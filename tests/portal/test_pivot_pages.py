"""Protects a change on set: one effect for a token, photos read with care, who may record it, refusals in words."""

import io
import json
from datetime import timedelta
from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from portal.access import Role
from portal.changes import presence
from portal.models import Campaign, Change, LogEntry, Member, StoredFile
from portal.people.actions import remove_member
from tests.factories import CampaignFactory, MemberFactory, ShotFactory, UserFactory, member_of
from tests.locked import lock
from tests.work import run_work

pytestmark = pytest.mark.django_db
TOKEN = "0123456789abcdef0123456789abcdef"
SCRIPT = {"Accept": "application/json"}


def picture(width=640, height=480, kind="JPEG", **how) -> bytes:
    made = io.BytesIO()
    Image.linear_gradient("L").resize((width, height)).convert("RGB").save(made, kind, **how)
    return made.getvalue()


def photo(content: bytes | None = None, name="on-set.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, picture() if content is None else content, "image/jpeg")


class Scene:
    """A locked brief of two shots, and who is on set."""

    def __init__(self) -> None:
        self.campaign = CampaignFactory()
        self.shots = [ShotFactory(campaign=self.campaign, number=number) for number in (1, 2)]
        self.stylist = MemberFactory(campaign=self.campaign, role=Role.STYLIST)
        self.signer = MemberFactory(campaign=self.campaign, role=Role.CLIENT, may_sign=True)
        self.producer = MemberFactory(campaign=self.campaign)
        lock(self.producer, signers=[self.signer])

    def address(self, name="pivot", *more: str) -> str:
        return reverse(f"portal:{name}", args=[self.campaign.key, *more])

    def told(self, **other) -> dict:
        told = {
            "photo": photo(),
            "what": "The bun is seeded: the plain ones did not come.",
            "present": [self.stylist.key],
            "others": "Rowan Quill,  Ash   Bellweather",
            "agrees": self.signer.key,
            "shot": self.shots[1].key,
            "about": "food",
            "sent_as": TOKEN,
            "account": self.stylist.key,
        }
        return {name: value for name, value in (told | other).items() if value is not None}


@pytest.fixture
def scene() -> Scene:
    return Scene()


@pytest.fixture
def stylist(scene, sign_in) -> Client:
    return sign_in(scene.stylist)


def test_recorded_with_all_that_was_told(scene, stylist):
    answer = stylist.post(scene.address(), scene.told())

    change = Change.objects.get()
    assert (answer.status_code, answer.url) == (302, scene.address())
    assert (change.kind, change.state, change.raised_by) == ("pivot", "asked", scene.stylist)
    assert change.what == "The bun is seeded: the plain ones did not come."
    there = [(one.name, one.member, one.agrees) for one in presence.read(change.present)]
    guests = [("Rowan Quill", "", False), ("Ash Bellweather", "", False)]
    members = [(str(one.user), one.key, one is scene.signer) for one in (scene.stylist, scene.signer)]
    assert (there, change.agrees_name) == ([*members, *guests], str(scene.signer.user))
    shown = stylist.get(scene.address("change", change.key)).text
    said = f"with {scene.stylist.user} and {scene.signer.user}, guests Rowan Quill and Ash Bellweather"
    assert f"{said}; {scene.signer.user} agreed" in unescape(shown)
    assert change.opens == [["food", scene.shots[1].key]]
    assert (change.photo.type, change.photo.width, change.photo.height) == ("jpeg", 640, 480)


def test_the_signer_who_records_it_and_agrees_accepts_it_at_once(scene, sign_in):
    sent = sign_in(scene.signer).post(scene.address(), scene.told(account=scene.signer.key), headers=SCRIPT)
    assert sent.json()["says"] == "Change 1 is recorded and accepted."
    assert Change.objects.get().decided_by == scene.signer


def test_what_nobody_agrees_to_is_recorded_and_waits(scene, stylist):
    sent = stylist.post(scene.address(), scene.told(agrees="nobody", about="nothing"), headers=SCRIPT)
    assert sent.json()["says"] == "Change 1 is recorded. It counts once a signer has accepted it."
    assert (Change.objects.get().agrees_name, Change.objects.get().opens) == ("", [])


def test_the_same_token_again_is_answered_as_the_first_time_and_has_no_second_effect(scene, stylist):
    first = stylist.post(scene.address(), scene.told(), headers=SCRIPT).json()
    entries = LogEntry.objects.count()
    # By now the brief is open again and the signer has left: what was recorded stays recorded.
    Campaign.objects.update(locked_version=None)
    Member.objects.filter(pk=scene.signer.pk).update(left_at=timezone.now())

    again = stylist.post(scene.address(), scene.told(what="Other words"), headers=SCRIPT)

    assert (again.status_code, again.json()) == (200, first)
    assert (Change.objects.count(), LogEntry.objects.count()) == (1, entries)


def test_another_persons_token_gives_nothing_of_theirs_away(scene, stylist, sign_in):
    stylist.post(scene.address(), scene.told())
    sent = sign_in(scene.producer).post(
        scene.address(), scene.told(account=scene.producer.key, what="Mine"), headers=SCRIPT
    )
    assert (sent.status_code, "seeded" in sent.text, Change.objects.count()) == (422, False, 1)


def test_an_entry_that_waited_is_not_recorded_under_another_account(scene, sign_in):
    """Two people share a telephone: the second has signed in before the first one's entry could go."""
    sent = sign_in(scene.producer).post(scene.address(), scene.told(), headers=SCRIPT)
    assert sent.status_code == 422
    assert sent.json()["says"].startswith("This was written by somebody else")
    assert not Change.objects.exists()


@pytest.mark.parametrize(
    ("told", "says"),
    [
        ({"photo": None}, "There is no photo yet. Take one, or say that there is nothing to photograph."),
        ({"what": "  "}, "Say in a sentence what is different from now on."),
        ({"what": "x" * 1001}, "1000 characters at most: say what is different, and the rest in a comment."),
        ({"agrees": None}, "Choose who agrees, or that no signer is here."),
        ({"agrees": "2" * 12}, "Who was chosen can no longer sign. Choose again who agrees."),
        ({"present": ["2" * 12]}, "Somebody ticked is no longer in the campaign. Write their name instead."),
        ({"shot": "2" * 12}, "That shot is not in the locked brief. Choose again, or none."),
        ({"sent_as": ""}, "This form has lost its token. Load the page again; what you wrote is still here."),
    ],
)
def test_what_is_missing_or_wrong_is_said_to_the_script_and_on_the_page(scene, stylist, told, says):
    sent = stylist.post(scene.address(), scene.told(**told), headers=SCRIPT)
    told |= {"photo": photo()} if told.get("photo", 1) else {}
    shown = stylist.post(scene.address(), scene.told(**told))

    assert (sent.status_code, sent.json()) == (422, {"says": says})
    assert shown.status_code == 422
    assert says in shown.text
    if "what" not in told:
        assert "The bun is seeded" in shown.text
    assert not Change.objects.exists()


def test_nothing_to_photograph_is_said_and_then_it_is_recorded(scene, stylist):
    asked = stylist.post(scene.address(), scene.told(photo=None)).text
    assert "data-without>" in asked
    stylist.post(scene.address(), scene.told(photo=None, without_photo="on"))
    assert Change.objects.get().photo is None


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "This photo is empty: 0 bytes arrived. Take it again."),
        (b"what is this", "This is no picture file that can be read here."),
        (picture()[:900], "This file ends early: it was cut off on the way. Send it again."),
        (b"\x00\x00\x00\x18ftypheic" + bytes(64), "This is a HEIC, AVIF or video file, which is not taken."),
        (b'<svg xmlns="http://www.w3.org/2000/svg"/>', "This is an SVG, which is not taken"),
    ],
)
def test_a_spoilt_photo_is_refused_with_a_sentence_and_nothing_is_kept(scene, stylist, content, says):
    sent = stylist.post(scene.address(), scene.told(photo=photo(content)), headers=SCRIPT)
    assert sent.status_code == 422
    assert sent.json()["says"].startswith(says)
    assert (Change.objects.count(), StoredFile.objects.count()) == (0, 0)


@pytest.mark.parametrize("locked", [True, False])
def test_the_page_of_an_open_brief_says_so_and_what_waited_is_refused_in_words(scene, stylist, locked):
    if not locked:
        Campaign.objects.update(locked_version=None)
    shown = stylist.get(scene.address())
    sent = stylist.post(scene.address(), scene.told(), headers=SCRIPT)
    assert ("The brief is not locked" in shown.text, 'name="what"' in shown.text) == (not locked, locked)
    assert sent.status_code == (200 if locked else 409)
    assert locked or "The brief is not locked" in sent.json()["says"]
    assert Change.objects.count() == locked


def test_who_may_not_raise_a_change_gets_a_sentence_and_an_outsider_finds_nothing(scene, sign_in, client):
    assistant = member_of(scene.campaign, Role.ASSISTANT)
    for name in ("pivot", "pivot-ready", "pivot-worker"):
        refused = sign_in(assistant).get(scene.address(name))
        assert (refused.status_code, "may not raise a change" in refused.text) == (403, True)
    sent = client.post(scene.address(), scene.told(account=assistant.key), headers=SCRIPT)
    assert (sent.status_code, "may not raise a change" in sent.text) == (403, True)

    client.force_login(UserFactory())
    assert {client.get(scene.address(name)).status_code for name in ("pivot", "pivot-ready", "pivot-worker")} == {404}
    assert client.post(scene.address(), scene.told(), headers=SCRIPT).status_code == 404
    assert not Change.objects.exists()


def test_who_was_taken_out_of_the_campaign_finds_nothing(scene, stylist):
    remove_member(scene.producer, scene.stylist.key)
    assert stylist.get(scene.address()).status_code == 404
    assert stylist.post(scene.address(), scene.told(), headers=SCRIPT).status_code == 404


def test_ready_names_the_account_and_gives_a_token_that_the_form_is_taken_with(scene):
    careful = Client(enforce_csrf_checks=True)
    careful.force_login(scene.stylist.user)
    without = careful.post(scene.address(), scene.told(), headers=SCRIPT).status_code
    told = careful.get(scene.address("pivot-ready"), headers=SCRIPT)
    taken = careful.post(scene.address(), scene.told(), headers={**SCRIPT, "X-CSRFToken": told.json()["token"]})
    assert (without, told.json()["account"], taken.status_code) == (403, scene.stylist.key, 200)
    assert "no-store" in told.headers["Cache-Control"]


def test_the_worker_is_a_script_that_reaches_no_further_than_its_folder(scene, stylist):
    answer = stylist.get(scene.address("pivot-worker"))
    assert answer.headers["Content-Type"] == "text/javascript; charset=utf-8"
    assert "Service-Worker-Allowed" not in answer.headers
    assert scene.address("pivot-worker") == scene.address() + "worker.js"
    assert "{{" not in answer.text
    # Nothing of the campaign is in it.
    assert scene.campaign.key not in answer.text


def test_the_policy_lets_a_worker_come_from_here_alone(scene, stylist):
    policy = dict(
        part.strip().split(" ", 1)
        for part in stylist.get(scene.address()).headers["Content-Security-Policy"].split(";")
    )
    assert policy["worker-src"] == "'self'"


def test_when_it_happened_is_taken_from_the_phone_but_never_from_its_future(scene, stylist):
    before = timezone.now()
    happened = before - timedelta(hours=3)
    stylist.post(scene.address(), scene.told(happened_at=happened.isoformat()))
    stylist.post(scene.address(), scene.told(happened_at=(before + timedelta(days=9)).isoformat(), sent_as="b" * 32))
    for token, unclear in (("c", "yesterday"), ("d", "2027-01-01T10:00:00")):  # no date; no offset from UTC
        stylist.post(scene.address(), scene.told(happened_at=unclear, sent_as=token * 32))
    first, ahead, *unsaid = Change.objects.order_by("number")
    assert first.happened_at == happened
    assert before <= ahead.happened_at <= timezone.now()
    assert [before <= one.happened_at <= timezone.now() for one in unsaid] == [True, True]


@pytest.mark.parametrize(
    ("role", "chosen"),
    [
        (Role.STYLIST, "food"),
        (Role.PROPS, "props"),
        (Role.LIGHTING, "light"),
        (Role.PHOTOGRAPHER, "picture"),
        (Role.RETOUCHER, "nothing"),
    ],
)
def test_what_it_changes_stands_chosen_by_the_readers_own_work(scene, sign_in, role, chosen):
    shown = sign_in(member_of(scene.campaign, role)).get(scene.address()).text
    assert f'<option value="{chosen}" selected>' in shown


def test_the_photo_is_shown_as_a_copy_without_what_the_camera_noted(scene, stylist):
    exif = Image.Exif()
    exif[0x0112], exif[0x010F] = 6, "Invented camera"
    stylist.post(scene.address(), scene.told(photo=photo(picture(2400, 1200, exif=exif, quality=60))))
    change = Change.objects.get()
    address = scene.address("pivot-photo", change.key)
    early = stylist.get(address).status_code
    run_work("layouts.photo")
    shown = stylist.get(address)
    copy = Image.open(io.BytesIO(b"".join(shown)))
    original = b"".join(stylist.get(scene.address("pivot-original", change.key)))

    assert early == 404
    # Orientation 6: the picture is turned upright (CIPA DC-008, Exif 2.32, tag 274).
    assert (copy.size, dict(copy.getexif())) == ((800, 1600), {})
    assert (change.photo.width, change.photo.height) == (1200, 2400)
    assert Image.open(io.BytesIO(original)).getexif()[0x010F] == "Invented camera"


def test_the_photo_of_another_campaigns_change_is_not_there(scene, stylist, sign_in):
    stylist.post(scene.address(), scene.told())
    run_work("layouts.photo")
    change = Change.objects.get()
    other = Scene()
    client = sign_in(other.producer)
    names = ("pivot-photo", "pivot-original")
    assert {client.get(scene.address(name, change.key)).status_code for name in names} == {404}
    assert {client.get(other.address(name, change.key)).status_code for name in names} == {404}


def test_the_way_to_it_stands_on_the_first_page_of_a_locked_brief_for_who_may(scene, sign_in):
    first, link = reverse("portal:campaign", args=[scene.campaign.key]), f'href="{scene.address()}"'
    assert link in sign_in(scene.stylist).get(first).text
    assert link not in sign_in(member_of(scene.campaign, Role.ASSISTANT)).get(first).text
    Campaign.objects.update(locked_version=None)
    assert link not in sign_in(scene.stylist).get(first).text


def test_the_page_asks_no_more_for_many_people(scene, stylist, django_assert_max_num_queries):
    MemberFactory.create_batch(15, campaign=scene.campaign, may_sign=True, role=Role.AGENCY)
    with django_assert_max_num_queries(8):
        stylist.get(scene.address())


def test_names_cannot_write_into_the_page(scene, sign_in):
    wicked = member_of(scene.campaign, Role.AGENCY, may_sign=True)
    wicked.user.name = "<script>alert(1)</script>"
    wicked.user.save()
    assert wicked.user.name not in sign_in(scene.stylist).get(scene.address()).text


def test_the_answer_to_the_script_is_json_alone(scene, stylist):
    sent = stylist.post(scene.address(), scene.told(), headers=SCRIPT)
    assert set(json.loads(sent.text)) == {"says", "url", "number"}
