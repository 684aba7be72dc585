"""Protects that who sent a file which must be mended is told of it once, and no longer when a newer one has come; and
that who asked for pictures which could not be drawn is told of each try.
"""

from layouts.capture import overlay_actions
from layouts.capture.overlay_orders import KIND, Options
from layouts.models import Layout, Mockup, SetOverlay
from layouts.overlays import actions as overlays
from layouts.pictures import actions as pictures
from portal.access import Role
from portal.models import Notice, Work
from portal.work import actions as work
from tests.factories import member_of
from tests.layouts import layout_files, mockup_files
from tests.layouts.capture_scenes import plannable
from tests.mails import post, told
from tests.work import run_work


def send(designer, place, *, flat=False):
    """A layout for the 48-sheet, whole or exported on an opaque ground."""
    drawn = layout_files.drawn()
    data = layout_files.encoded(drawn.convert("RGB").convert("RGBA") if flat else drawn)
    file = layout_files.upload("shot1 48-sheet en-GB.png", data)
    overlays.receive_files(designer, files=[file], placement=place().key)
    run_work("layouts.prepare")


def notices():
    rows = Notice.objects.select_related("member").order_by("pk")
    return [(row.member, row.kind, row.subject, row.waits, row.settled_at is not None) for row in rows]


def test_a_flattened_layout_goes_back_to_who_sent_it_until_a_newer_one_comes(designer, place):
    member_of(designer, Role.DESIGNER)  # of the same role, who sent nothing
    send(designer, place, flat=True)
    subject = f"placement/{place().key}"
    assert notices() == [(designer, "fault", subject, True, False)]
    (sent,) = post()
    assert told([sent]) == [designer.user.email]
    assert "something in the layout that you sent must be mended" in sent.body
    assert f"/layouts/of/{place().key}/" in sent.body

    send(designer, place)

    assert notices() == [(designer, "fault", subject, True, True)]


def test_a_sound_layout_tells_nobody(designer, place):
    send(designer, place)
    assert notices() == []


def test_the_same_end_said_twice_tells_once(designer, place):
    send(designer, place, flat=True)
    layout = Layout.objects.select_related("work").get()
    work.finish(layout.work, layout.work.result)
    assert len(notices()) == 1


def test_what_could_not_be_read_goes_back_too(designer, place, ordered):
    send(designer, place)
    work.fail(Layout.objects.get().work, "Its data is damaged.")
    shot = ordered.campaign.shots.first()
    pictures.add_mockup(ordered, shot.key, file=mockup_files.upload())
    work.fail(Mockup.objects.get().work, "Its data is damaged.")
    assert notices() == [
        (designer, "unread", f"placement/{place().key}", True, False),
        (ordered, "unread", f"shot/{shot.key}", True, False),
    ]
    assert Work.objects.filter(state="failed").count() == 2


def undrawn():
    return [row for row in notices() if row[1] == "overlays-undrawn"]


def fail_overlays():
    for row in Work.objects.filter(kind=KIND, state=Work.State.OWED):
        work.fail(row, "The disk is full.")


def test_who_asked_for_pictures_that_could_not_be_drawn_is_told_once_a_try(ordered):
    shot = plannable(ordered)
    operator = member_of(ordered.campaign, Role.OPERATOR)
    member_of(ordered.campaign, Role.OPERATOR)  # of the same role, who asked for nothing
    (row,) = overlay_actions.ask_overlays(operator, shot.key, Options(800, True, 60))
    fail_overlays()
    work.fail(row.work, "The disk is full.")
    subject = f"shot/{shot.key}"
    assert undrawn() == [(operator, "overlays-undrawn", subject, True, False)], "once, however often it is said"
    (sent,) = [mail for mail in post() if mail.to == [operator.user.email]]
    assert "pictures for live view that you asked for could not be drawn" in sent.body
    assert f"/shots/{shot.key}/set-overlays/" in sent.body

    overlay_actions.ask_overlays(operator, shot.key, Options(800, True, 60))
    assert undrawn() == [(operator, "overlays-undrawn", subject, True, True)], "asking again settles it"
    fail_overlays()
    assert [row[4] for row in undrawn()] == [True, False], "and another failure is told anew"


def test_pictures_that_nobody_asks_for_any_more_tell_nobody(ordered):
    shot = plannable(ordered)
    operator = member_of(ordered.campaign, Role.OPERATOR)
    overlay_actions.ask_overlays(operator, shot.key, Options(800, True, 60))
    earlier = {row.work_id for row in SetOverlay.objects.all()}
    overlay_actions.ask_overlays(operator, shot.key, Options(900, True, 60))
    for row in Work.objects.filter(pk__in=earlier):
        work.fail(row, "The disk is full.")
    assert undrawn() == []
