"""Protects what pages say of how type reads: measured with the picture, told by format and hero zone, never stale."""

import io

import numpy as np
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from PIL import Image

from layouts.formats import actions as formats
from layouts.models import Format, Placement
from layouts.overlays import actions as overlays
from layouts.pictures import actions as pictures
from layouts.pictures import readiness
from layouts.previews import queries, verdict_words, verdicts, words
from portal.access import Role
from portal.brief import actions as brief
from portal.brief import reading
from portal.models import Work
from tests.factories import member_of
from tests.layouts import layout_files
from tests.work import run_work

pytestmark = pytest.mark.django_db
# Where the drawn type stands, as fractions of a 2 : 1 window: x 0.06 to about 0.5, y 0.1 to 0.3.
ON_THE_TYPE, BESIDE_IT = (0.05, 0.0, 0.4, 0.2), (0.6, 0.5, 0.9, 0.8)


def mockup(*greys, size=(600, 400)):
    """A mockup in upright bands of these greys."""
    pixels = np.repeat(np.array(greys, np.uint8), size[0] // len(greys))[None, :, None]
    held = io.BytesIO()
    Image.fromarray(np.ascontiguousarray(np.broadcast_to(pixels, (size[1], size[0], 3)))).save(held, "PNG")
    return SimpleUploadedFile("comp.png", held.getvalue())


@pytest.fixture
def shot(ordered):
    return ordered.campaign.shots.get(number=1)


@pytest.fixture
def laid(ordered, shot, place):
    """A function from a mockup's greys to placement 48-sheet seen with white type and a dark bar over it."""

    def seen(*greys, hero=BESIDE_IT):
        pictures.add_mockup(ordered, shot.key, file=mockup(*greys))
        if hero:
            pictures.mark_hero(ordered, shot.key, zone=hero)
        designer = member_of(ordered.campaign, Role.DESIGNER)
        overlays.receive_files(designer, files=[layout_files.upload("layout.png")], placement=place().key)
        run_work()
        return queries.seen_one(ordered.campaign, place().key)

    return seen


def stage(placement):
    return f"/c/{placement.shot.campaign.key}/stage/{placement.key}/"


def test_the_picture_and_its_measures_come_from_the_same_work(laid):
    """F: white, and 20, over 118, whose luminance is 0.1811642 (IEC 61966-2-1); that of 20 is 0.0069954."""
    row = laid(118)
    type_, bar = row.visible.result["measured"]["zones"]
    assert type_["contrast"]["median"] == pytest.approx(1.05 / 0.2311642, rel=0.01)
    assert bar["contrast"]["median"] == pytest.approx(0.2311642 / 0.0569954, rel=0.01)
    assert words.verdict(row) == "The type reads well over this picture. Nothing lies on the hero."


def test_white_type_on_a_white_picture_is_hard_to_read_and_the_street_says_so(laid, ordered):
    row = laid(255)
    assert words.verdict(row).startswith(
        "Zone 1 is hard to read, 1.0\u202f:\u202f1 where 3.0\u202f:\u202f1 is needed. The rest of the type reads well."
    )
    assert words.street_note(row) == "hard to read"
    seen = queries.seen(ordered.campaign)
    assert ("Type", "Hard to read, if only in places, in 1 of 1", "wrong") in words.captions(seen, ["en-GB", "cy"])


def test_type_that_runs_onto_a_light_part_is_hard_to_read_in_places(laid):
    row = laid(*[118] * 4, 255, *[118] * 15)
    assert "Zone 1 is hard to read in places" in words.verdict(row)
    assert words.street_note(row) == "hard to read in places"


def test_the_hero_zone_alone_moves_and_the_overlap_is_told_anew_without_a_new_picture(laid, ordered, shot, place):
    laid(118)
    formats.set_crop(ordered, place().key, crop=[0.0, 0.0, 1.0, 0.75])
    run_work()
    row = queries.seen_one(ordered.campaign, place().key)
    assert verdicts.of(row).overlap == 0
    pictures.mark_hero(ordered, shot.key, zone=ON_THE_TYPE)
    moved = queries.seen_one(ordered.campaign, place().key)
    assert (moved.tag, moved.state) == (row.tag, "there")
    found = verdicts.of(moved)
    assert 0.1 < found.overlap < 0.9
    per_cent = verdict_words.per_cent(found.overlap)
    covers = f"Type or graphics cover {per_cent}\u202f% of the hero zone"
    assert words.verdict(moved).endswith(f"{covers}, and 2\u202f% at most was agreed in the terms.")
    assert words.street_note(moved) == f"type on the hero {per_cent}\u202f%"


def test_the_overlap_is_that_of_the_pixels(laid, ordered, shot, place):
    row = laid(118, hero=ON_THE_TYPE)
    held = queries.seen_one(ordered.campaign, place().key)
    from django.core.files.storage import default_storage

    with default_storage.open(row.files["layer"]["path"]) as file, Image.open(file) as image:
        alpha = np.asarray(image)[..., 3] / 255
    (x0, y0, x1, y1), _ = held.hero
    high, wide = alpha.shape
    part = alpha[round(max(0, y0) * high) : round(y1 * high), round(max(0, x0) * wide) : round(x1 * wide)]
    whole = (x1 - x0) * wide * (y1 - y0) * high
    assert verdicts.of(row).overlap == pytest.approx(part.sum() / whole, abs=0.006)


def test_nothing_is_said_of_the_hero_while_the_picture_shows_another_crop(laid, ordered, place):
    row = laid(118, hero=ON_THE_TYPE)
    assert verdicts.of(row).overlap > 0
    Placement.objects.filter(pk=place().pk).update(crop=[0.0, 0.0, 0.9, 0.675])
    assert verdicts.of(queries.seen_one(ordered.campaign, place().key)).overlap is None


def test_the_same_type_needs_more_where_the_distance_makes_it_small(laid, ordered, place):
    laid(124)  # white over it is 4.2 : 1
    assert [zone.needs for zone in verdicts.of(queries.seen_one(ordered.campaign, place().key)).zones] == [3.0, 3.0]
    Format.objects.filter(name="48-sheet").update(distance_m=200)
    far = verdicts.of(queries.seen_one(ordered.campaign, place().key))
    assert [zone.needs for zone in far.zones] == [4.5, 3.0], "the bar is a graphic, of whatever size"
    assert far.zones[0].state == "hard"


def test_without_a_layout_or_before_a_measure_nothing_is_said(ordered, shot, place, laid):
    pictures.add_mockup(ordered, shot.key, file=mockup(255))
    run_work()
    bare = queries.seen_one(ordered.campaign, place().key)
    assert (verdicts.of(bare), words.verdict(bare)) == (None, "")
    row = laid(118)
    del row.visible.result["measured"]
    row.visible.save()
    assert words.verdict(queries.seen_one(ordered.campaign, place().key)) == ""


def test_a_layout_that_hides_the_picture_is_said_to_hide_it(ordered, shot, place):
    pictures.add_mockup(ordered, shot.key, file=mockup(118))
    pictures.mark_hero(ordered, shot.key, zone=BESIDE_IT)
    data = io.BytesIO()
    white = Image.new("RGBA", (1440, 720), (255, 255, 255, 255))
    white.alpha_composite(layout_files.drawn())
    white.save(data, "PNG")
    designer = member_of(ordered.campaign, Role.DESIGNER)
    overlays.receive_files(designer, files=[SimpleUploadedFile("l.png", data.getvalue())], placement=place().key)
    run_work()
    row = queries.seen_one(ordered.campaign, place().key)
    assert words.verdict(row) == "This layout hides the picture: nothing in it is clear."
    assert "hides the picture" in words.street_note(row)


def test_the_stage_shows_the_verdict_first_then_marks_and_a_table_that_need_no_script(sign_in, laid, ordered):
    row = laid(255)
    text = sign_in(member_of(ordered.campaign, Role.CLIENT)).get(stage(row.placement)).text
    assert text.index("Zone 1 is hard to read") < text.index("<picture-stage")
    assert text.count('class="zone-word') == 2
    assert text.count('class="fault-word"') == 1
    assert "Ringed in red: zone 1, hard to read, 1.0\u202f:\u202f1" in text
    assert "How the type reads over this picture" in text
    assert "21 : 1 (black on white)" in text
    assert "the printer's own proof" not in text


def told_of_type(campaign):
    kinds = ("type-hard", "type-on-hero", "type-below-limit", "hero-past-limit")
    return [one for one in readiness.ready(campaign) if one.kind in kinds]


def agree(ordered, **limits):
    """What is agreed, as whoever settles the terms would write it."""
    brief.settle_terms(ordered, **limits)
    ordered.campaign.refresh_from_db()


def test_readiness_finds_what_must_be_fixed_past_the_limits_agreed(laid, ordered, place):
    laid(255, hero=ON_THE_TYPE)
    found = told_of_type(ordered.campaign)
    assert [(one.level, one.kind, one.waivable) for one in found] == [
        ("must-fix", "type-below-limit", True),
        ("must-fix", "hero-past-limit", True),
    ]
    assert found[0].says == (
        "Shot 1 in 48-sheet, British English: zone 1 does not reach the 3.0\u202f:\u202f1 agreed in the "
        "terms, with 1.0\u202f:\u202f1 in its weakest letters."
    )
    assert found[1].says.endswith("of the hero zone, and 2\u202f% at most was agreed in the terms.")
    assert all(one.url == stage(place()) for one in found)


def test_the_limit_that_is_agreed_decides_and_not_the_one_that_we_would_choose(laid, ordered, place):
    """F: white over 118 is 4.54 : 1 (WCAG 2.2), which reads well, and falls short where 7 : 1 was agreed."""
    laid(118, hero=ON_THE_TYPE)
    share = round(100 * verdicts.of(queries.seen_one(ordered.campaign, place().key)).overlap)
    agree(ordered, least_contrast=7.0, hero_overlap=share + 1)
    assert [(one.level, one.kind) for one in told_of_type(ordered.campaign)] == [
        ("must-fix", "type-below-limit"),
        ("worth-a-look", "type-on-hero"),
    ]
    row = queries.seen_one(ordered.campaign, place().key)
    assert "The type reads well over this picture. Zones 1 and 2 do not reach the 7.0" in words.verdict(row)
    assert "at most was agreed" not in words.verdict(row)
    assert words.street_note(row).startswith("less contrast than agreed")
    agree(ordered, least_contrast=4.0, hero_overlap=share - 1)
    assert [(one.level, one.kind) for one in told_of_type(ordered.campaign)] == [("must-fix", "hero-past-limit")]


def test_within_the_limits_agreed_readiness_finds_what_is_worth_a_look_with_role_and_place(laid, ordered, place):
    laid(255, hero=ON_THE_TYPE)
    agree(ordered, least_contrast=1.0, hero_overlap=100)
    found = told_of_type(ordered.campaign)
    assert [(one.level, one.kind, one.what) for one in found] == [
        ("worth-a-look", "type-hard", "48-sheet, British English, shot 1"),
        ("worth-a-look", "type-on-hero", "48-sheet, British English, shot 1"),
    ]
    assert found[0].says.startswith("Shot 1 in 48-sheet, British English: zone 1 is hard to read")
    assert {str(role) for role in found[0].roles} == {"agency", "designer"}
    assert {"designer", "photographer"} < {str(role) for role in found[1].roles}
    assert all(one.url == stage(place()) for one in found)


def test_readiness_says_nothing_where_all_reads_well_or_is_being_made(laid, ordered, shot):
    laid(118)
    assert told_of_type(ordered.campaign) == []
    pictures.add_mockup(ordered, shot.key, file=mockup(255))
    assert told_of_type(ordered.campaign) == []


def test_a_proof_is_made_when_asked_for_and_says_what_it_is(sign_in, laid, ordered, place):
    row = laid(118)
    browser = sign_in(member_of(ordered.campaign, Role.CLIENT))
    assert "Show it as it will print" in browser.get(stage(place())).text
    assert browser.post(f"{stage(place())}proof/").status_code == 302
    assert "as it will print is being made" in browser.get(stage(place())).text
    run_work()
    text = browser.get(stage(place())).text
    assert "Show it as it will print" not in text
    assert "FOGRA39" in text
    assert "the printer&#x27;s own proof decides" in text
    work = queries.seen_one(ordered.campaign, place().key).preview.proof
    assert 0 <= work.result["share"] <= 1
    assert work.result["files"]["proof"]["width"] == row.files["composed"]["width"]
    for which in ("proof", "beyond"):
        answer = browser.get(f"{stage(place())}{which}/{queries.tag_of(work)}/")
        assert answer.status_code == 200
        assert b"".join(answer.streaming_content)


def test_a_new_picture_drops_the_proof_of_the_old_one_and_a_screen_has_none(sign_in, laid, ordered, shot, place):
    laid(118)
    browser = sign_in(ordered)
    browser.post(f"{stage(place())}proof/")
    run_work()
    pictures.add_mockup(ordered, shot.key, file=mockup(60))
    assert queries.seen_one(ordered.campaign, place().key).preview.proof is None
    run_work()
    Format.objects.filter(name="48-sheet").update(kind="screen")
    assert "as it will print" not in browser.get(stage(place())).text


def test_a_proof_that_failed_says_why_and_is_tried_again_when_asked(sign_in, laid, ordered, place):
    laid(118)
    browser = sign_in(ordered)
    browser.post(f"{stage(place())}proof/")
    Work.objects.filter(kind="layouts.proof").update(state=Work.State.FAILED, says="This file ends early.")
    assert "This file ends early." in browser.get(stage(place())).text
    browser.post(f"{stage(place())}proof/")
    assert Work.objects.get(kind="layouts.proof").state == Work.State.OWED


def test_readiness_asks_as_often_for_more_measures(laid, ordered, place):
    def asked():
        with CaptureQueriesContext(connection) as captured:
            readiness.ready(reading.begin(ordered.campaign))
        return len(captured)

    laid(255, hero=ON_THE_TYPE)
    one = asked()
    designer = member_of(ordered.campaign, Role.DESIGNER)
    overlays.receive_files(designer, files=[layout_files.upload("l.png", seed=9)], placement=place(language="cy").key)
    run_work()
    assert asked() == one <= 6
