"""Protects set overlays at the door: who may ask for them and have them, what the page says, and one work for two."""

import threading

import pytest
from django.db import connection
from django.urls import reverse

from layouts.capture import overlay_actions, overlay_orders
from layouts.capture.overlay_orders import Options
from layouts.models import SetOverlay
from layouts.overlays import actions as overlays
from portal.access import Role
from portal.models import LogEntry, Member, Work
from portal.sealing import words
from portal.talk import subjects
from portal.work.handlers import CannotBeDone
from tests.factories import UserFactory, member_of
from tests.layouts import layout_files
from tests.layouts.capture_scenes import lock, plannable
from tests.work import run_work

ASKED = {"size": "600", "dimmed": "40", "hero": "on"}


def page(shot) -> str:
    return reverse("layouts:set-overlays", args=[shot.campaign.key, shot.key])


def files(shot) -> list[str]:
    """The address of every file of the shot's newest pictures."""
    (row,) = overlay_actions.newest(shot)
    names = ["zip", "look", *(one["name"] for one in row.work.result["entries"])]
    return [reverse("layouts:set-overlay", args=[shot.campaign.key, shot.key, row.key, name]) for name in names]


def bodies(client, addresses) -> list[int]:
    found = []
    for url in addresses:
        answer = client.get(url)
        found.append(answer.status_code)
        assert answer.status_code != 200 or b"".join(answer)
    return found


@pytest.mark.django_db
def test_asking_waiting_and_having_them(client, ordered):
    shot = plannable(ordered)
    client.force_login(member_of(ordered.campaign, Role.OPERATOR).user)
    assert "have not been asked for yet" in client.get(page(shot)).text

    assert client.post(page(shot), ASKED).status_code == 302
    waits = client.get(page(shot))
    assert "The pictures of capture 1 are being drawn." in waits.text
    poll = waits.text.partition('hx-get="')[2].partition('"')[0].replace("&amp;", "&")
    unchanged = client.get(poll, headers={"HX-Request": "true"})
    assert unchanged.text.strip().startswith('<div class="working"')

    run_work()
    changed = client.get(poll, headers={"HX-Request": "true"})
    assert changed.headers["HX-Retarget"] == "#made"
    assert "Take all 11 files" in changed.text
    assert "working" not in changed.text
    found = files(shot)
    assert all(url in client.get(page(shot)).text for url in found)
    assert set(bodies(client, found)) == {200}
    pack = client.get(found[0])
    assert b"".join(pack)
    assert pack.headers["Content-Disposition"].endswith('.zip"')
    assert "shot01-capture1-draft-" in pack.headers["Content-Disposition"]
    one = client.get(next(url for url in found if url.endswith("-cy.png/")))
    body = b"".join(one)
    assert (one.headers["Content-Type"], int(one.headers["Content-Length"])) == ("image/png", len(body))
    assert one.headers["Content-Disposition"].startswith("attachment")


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("field", "value", "says"),
    [("size", "499", "500"), ("size", "12001", "12000"), ("size", "", "required"), ("dimmed", "101", "100")],
)
def test_what_cannot_be_drawn_so_is_refused_and_nothing_typed_is_lost(client, ordered, field, value, says):
    shot = plannable(ordered, layouts=())
    client.force_login(ordered.user)
    answer = client.post(page(shot), ASKED | {field: value})
    assert answer.status_code == 422
    assert says in answer.text.partition('role="alert"')[2][:600]
    assert 'value="40"' in answer.text or field == "dimmed"
    assert not SetOverlay.objects.exists()


@pytest.mark.django_db
def test_pictures_of_a_draft_are_for_those_who_read_the_draft_also_once_it_is_locked(client, ordered):
    shot = plannable(ordered, layouts=())
    overlay_actions.ask_overlays(ordered, shot.key, Options(500))
    run_work()
    of_draft = files(shot)
    people = {role: member_of(ordered.campaign, role) for role in Role}
    reads = {}
    for role, member in people.items():
        client.force_login(member.user)
        reads[role] = (client.get(page(shot)).status_code, *set(bodies(client, of_draft)))
    assert reads == {role: (200, 200) if role != Role.ASSISTANT else (403, 403) for role in Role}
    client.force_login(people[Role.ASSISTANT].user)
    assert client.post(page(shot), ASKED).status_code == 403

    lock(ordered.campaign)
    assert client.get(page(shot)).status_code == 200
    assert set(bodies(client, of_draft)) == {403}
    assert client.post(page(shot), ASKED).status_code == 302
    run_work()
    assert set(bodies(client, files(shot))) == {200}
    client.force_login(UserFactory())
    assert (client.get(page(shot)).status_code, *set(bodies(client, files(shot)))) == (404, 404)


@pytest.mark.django_db
def test_another_campaigns_pictures_and_files_that_are_not_in_the_zip_are_not_there(client, ordered):
    shot = plannable(ordered, layouts=())
    overlay_actions.ask_overlays(ordered, shot.key, Options(500))
    run_work()
    (row,) = overlay_actions.newest(shot)
    elsewhere = member_of(ordered.campaign.shots.get(number=2))
    client.force_login(elsewhere.user)
    other = ordered.campaign.shots.get(number=2)
    for shot_key, name in ((other.key, "zip"), (shot.key, "..%2f..%2fsecret"), (shot.key, "nothing.png")):
        address = f"/c/{ordered.campaign.key}/shots/{shot_key}/set-overlays/{row.key}/{name}/"
        assert client.get(address).status_code == 404


@pytest.mark.django_db
def test_the_page_says_when_the_pictures_no_longer_fit(client, ordered):
    shot = plannable(ordered)
    client.force_login(ordered.user)
    client.post(page(shot), ASKED)
    run_work()
    assert "has changed. Have them drawn again" not in client.get(page(shot)).text
    # An edit elsewhere moves the brief's stamp, and no picture.
    other = ordered.campaign.shots.get(number=2)
    other.title = "Another title"
    other.save()
    assert "has changed. Have them drawn again" not in client.get(page(shot)).text
    row = shot.placements.get(format__name="48-sheet", language="en-GB")
    overlays.receive_files(ordered, files=[layout_files.upload("48.png", words="Other words")], placement=row.key)
    run_work()
    assert "has changed. Have them drawn again" in client.get(page(shot)).text


@pytest.mark.django_db
def test_a_failure_is_told_and_tried_again_by_asking(client, ordered, monkeypatch):
    shot = plannable(ordered, layouts=())
    client.force_login(ordered.user)
    client.post(page(shot), ASKED)
    from portal.work import handlers

    def broken(_):
        raise CannotBeDone("The layout can no longer be read. Send it again.")

    with monkeypatch.context() as patched:
        patched.setitem(handlers._handlers, overlay_orders.KIND, broken)
        run_work()
    text = client.get(page(shot)).text
    assert "The layout can no longer be read. Send it again." in text
    assert "One capture could not be drawn." in text
    assert 'href="#ask">Have them drawn again</a>' in text
    assert text.index('id="made"') < text.index("lay it over live view"), "what was drawn comes before how it is used"
    client.post(page(shot), ASKED)
    run_work()
    assert "Take all" in client.get(page(shot)).text


@pytest.mark.django_db
def test_the_page_asks_the_database_little(client, ordered, django_assert_max_num_queries):
    shot = plannable(ordered)
    client.force_login(ordered.user)
    client.post(page(shot), ASKED)
    run_work()
    with django_assert_max_num_queries(20):
        assert client.get(page(shot)).status_code == 200


@pytest.mark.django_db(transaction=True)
def test_two_requests_at_once_make_one_work(ordered):
    shot = plannable(ordered, layouts=())
    people = [member_of(ordered.campaign, role) for role in (Role.OPERATOR, Role.PHOTOGRAPHER)]
    gate, found = threading.Barrier(2), []

    def ask(key):
        try:
            member = Member.objects.select_related("campaign", "user").get(pk=key)
            gate.wait()
            found.append([row.work_id for row in overlay_actions.ask_overlays(member, shot.key, Options(500))])
        finally:
            connection.close()

    threads = [threading.Thread(target=ask, args=[member.pk]) for member in people]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(found) == 2
    assert found[0] == found[1]
    assert Work.objects.filter(kind=overlay_orders.KIND).count() == 1
    assert SetOverlay.objects.count() == 1
    assert LogEntry.objects.filter(act="overlays.asked").count() == 1


@pytest.mark.django_db
def test_the_log_says_who_had_them_drawn(ordered):
    shot = plannable(ordered, layouts=())
    overlay_actions.ask_overlays(ordered, shot.key, Options(700))
    entry = LogEntry.objects.get(act="overlays.asked")
    said = words.say(entry, subjects.many(ordered.campaign, {entry.subject}))
    assert said.endswith("had pictures for live view drawn for shot 1, Bowl by the window (captures 1, 700 px).")
