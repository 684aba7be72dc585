"""Protects private pictures: every address walked as every role, as an outsider and signed out."""

import pytest
from django.utils import timezone

from layouts.models import Mockup
from layouts.overlays import actions as overlays
from layouts.pictures import actions as pictures
from layouts.previews import actions, queries
from portal.access import Role
from portal.models import Campaign, Version
from tests.factories import MemberFactory, member_of
from tests.layouts import layout_files
from tests.layouts.mockup_files import upload
from tests.work import run_work

pytestmark = pytest.mark.django_db
READS_DRAFT = set(Role) - {Role.ASSISTANT}


@pytest.fixture
def pictured(ordered, place):
    """A placement with a layout laid over its mockup, and its full pixels; two revisions of that mockup."""
    shot = ordered.campaign.shots.get(number=1)
    for seed in (1, 2):
        pictures.add_mockup(ordered, shot.key, file=upload(seed=seed, size=(3000, 2000)))
    designer = member_of(ordered.campaign, Role.DESIGNER)
    overlays.receive_files(designer, files=[layout_files.upload("layout.png")], placement=place().key)
    run_work()
    actions.ask_detail(ordered, place().key)
    run_work()
    return queries.seen_one(ordered.campaign, place().key)


def addresses(row) -> dict[str, str]:
    """Every address of pictures, by what it is."""
    top = f"/c/{row.placement.shot.campaign.key}"
    here = f"{top}/stage/{row.placement.key}"
    detail = queries.tag_of(row.preview.detail)
    now, before = row.mockup.key, Mockup.objects.get(revision=1).key
    return {
        **{which: f"{here}/{which}/{row.tag}/" for which in ("composed", "bare", "layer", "small")},
        **{which: f"{here}/{which}/{detail}/" for which in ("composed-detail", "bare-detail")},
        "copy": f"{top}/mockups/{now}/480/",
        "original": f"{top}/mockups/{now}/original/",
        "older copy": f"{top}/mockups/{before}/480/",
        "older original": f"{top}/mockups/{before}/original/",
    }


def walked(client, row) -> dict[str, int]:
    answers = {}
    for name, url in addresses(row).items():
        answer = client.get(url)
        answers[name] = answer.status_code
        assert answer.status_code != 200 or body(answer)
    return answers


def body(answer) -> bytes:
    """The whole file; to its end, so that it is closed."""
    return b"".join(answer.streaming_content)


ALL = [
    "composed", "bare", "layer", "small", "composed-detail", "bare-detail", "copy", "original", "older copy",
    "older original",
]  # fmt: skip


@pytest.mark.parametrize("role", list(Role))
def test_pictures_of_the_draft_go_to_those_who_may_read_the_draft(sign_in, pictured, role):
    answers = walked(sign_in(member_of(pictured.placement, role)), pictured)
    assert answers == dict.fromkeys(ALL, 200 if role in READS_DRAFT else 403)


def test_the_assistant_sees_the_pictures_of_a_version_but_no_older_mockup(sign_in, ordered, pictured):
    version = Version.objects.create(
        campaign=ordered.campaign, number=1, document="{}", sections={}, digest="0" * 64, put_forward_by=ordered,
        put_forward_at=timezone.now(),
    )  # fmt: skip
    Campaign.objects.filter(pk=ordered.campaign_id).update(open_version=version)
    answers = walked(sign_in(member_of(pictured.placement, Role.ASSISTANT)), pictured)
    assert answers == dict.fromkeys(ALL, 200) | {"older copy": 404, "older original": 404}


def test_outsiders_find_nothing_and_the_signed_out_are_asked_to_sign_in(client, sign_in, pictured):
    assert walked(client, pictured) == dict.fromkeys(ALL, 302)
    outsider = MemberFactory()
    assert walked(sign_in(outsider), pictured) == dict.fromkeys(ALL, 404)


def test_one_campaigns_pictures_are_not_found_under_another(sign_in, pictured):
    other = MemberFactory(role=Role.AGENCY)
    browser = sign_in(other)
    mine = f"/c/{pictured.placement.shot.campaign.key}/"
    for url in addresses(pictured).values():
        assert browser.get(url.replace(mine, f"/c/{other.campaign.key}/")).status_code == 404


def test_a_picture_is_private_kept_by_its_name_and_not_sent_twice(sign_in, ordered, pictured):
    browser = sign_in(ordered)
    url = addresses(pictured)["composed"]
    answer = browser.get(url)
    assert answer.headers["Content-Type"] == "image/jpeg"
    assert "private" in answer.headers["Cache-Control"]
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert len(body(answer)) == pictured.files["composed"]["bytes"]
    again = browser.get(url, headers={"If-None-Match": answer.headers["ETag"]})
    assert (again.status_code, again.content) == (304, b"")


def test_a_retired_picture_is_gone(sign_in, ordered, pictured):
    browser = sign_in(ordered)
    url = addresses(pictured)["small"]
    pictures.add_mockup(ordered, pictured.placement.shot.key, file=upload(seed=3))
    assert body(browser.get(url)), "it is shown until the new one is there"
    run_work()
    pictures.add_mockup(ordered, pictured.placement.shot.key, file=upload(seed=4))
    assert browser.get(url).status_code == 404


def test_a_picture_that_never_was_is_not_found(sign_in, ordered, pictured):
    browser = sign_in(ordered)
    url = addresses(pictured)["composed"]
    assert browser.get(url.replace("composed", "secret")).status_code == 404
    assert browser.get(url.replace(pictured.tag, "0" * 16)).status_code == 404


def test_the_original_comes_back_byte_for_byte_under_its_name(sign_in, ordered, pictured):
    answer = sign_in(ordered).get(addresses(pictured)["original"])
    assert answer.headers["Content-Disposition"] == 'attachment; filename="comp.png"'
    assert body(answer) == upload(seed=2, size=(3000, 2000)).read()
