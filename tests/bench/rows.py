"""A campaign of any size as rows: one placement is made by the real work, the others are copies of what came of it."""

import hashlib
import io
import itertools
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, ImageDraw

from layouts.formats import actions as formats
from layouts.formats import catalogue
from layouts.models import Layout, Mockup, Placement, Preview
from layouts.overlays import actions as overlays
from layouts.pictures import actions as pictures
from layouts.previews import recipe
from portal.access import Role
from portal.brief import actions as brief
from portal.brief import standing
from portal.models import Campaign, Comment, Member, StoredFile, User, Work
from portal.talk import actions as talk
from shots.models import Camera, HeroFood, Light, Prop, Shot
from tests.work import run_work

# Twelve of the catalogue's: posters of several shapes and screens.
FORMATS = [
    *("48-sheet", "96-sheet", "6-sheet", "16-sheet", "4-sheet", "64-sheet", "city-light", "bus-shelter-4x6"),
    *("portrait-screen-75", "landscape-screen", "roadside-screen", "square-screen"),
]
LANGUAGES = ["en-GB", "cy"]
HERO = [0.4, 0.43, 0.85, 0.78]
_numbers = itertools.count(1)


@dataclass
class Big:
    """A campaign that was made, its people by role, and one shot and placement in the middle of it."""

    campaign: Campaign
    members: dict[str, Member] = field(default_factory=dict)

    @property
    def shot(self) -> Shot:
        shots = self.campaign.shots.all()
        return shots[len(shots) // 2]

    @property
    def placement(self) -> Placement:
        return self.shot.placements.filter(wanted=True)[0]


def make(shots: int, formats_: int = len(FORMATS), languages: int = 1, *, come: bool = True) -> Big:
    """A campaign of `shots` by `formats_` by `languages`, its pictures and layouts all there unless `come` is false."""
    big = _people(languages)
    agency = big.members[Role.AGENCY]
    made = Shot.objects.bulk_create(_shot(big.campaign, number) for number in range(1, shots + 1))
    _texts(made)
    formats.add_formats(agency, formats=catalogue.chosen(FORMATS[:formats_]))
    if come:
        _pictures(agency, made[0])
        run_work()
        _copy(big.campaign, made)
    _talk(big, made)
    big.campaign.refresh_from_db()
    standing.refresh(big.campaign.pk)
    return big


def picture(size: tuple[int, int] = (900, 600)) -> SimpleUploadedFile:
    held = io.BytesIO()
    Image.effect_mandelbrot(size, (-2, -1.5, 1, 1.5), 30).convert("RGB").save(held, "JPEG")
    return SimpleUploadedFile("mockup.jpg", held.getvalue())


def layout(size: tuple[int, int] = (1200, 600)) -> SimpleUploadedFile:
    held, image = io.BytesIO(), Image.new("RGBA", size, (0, 0, 0, 0))
    ImageDraw.Draw(image).text((60, 60), "Slow mornings", fill=(40, 30, 20, 255), font_size=90)
    image.save(held, "PNG")
    return SimpleUploadedFile("shot1_48-sheet_en-GB.png", held.getvalue())


def _people(languages: int) -> Big:
    n = next(_numbers)
    starter = User.objects.create(email=f"agency{n}@example.com", name="Agency Producer", starts_campaigns=True)
    agency = brief.start_campaign(
        starter,
        role=Role.AGENCY,
        may_sign=True,
        title=f"Benchmark campaign {n}",
        code=f"B-{n}",
        client="Invented client",
        agency="Invented agency",
        languages=LANGUAGES[:languages],
        media="Roadside posters",
        territory="Wales",
        period="Six weeks",
    )
    big = Big(agency.campaign, {Role.AGENCY: agency})
    for role in Role:
        if role != Role.AGENCY:
            user = User.objects.create(email=f"{role}{n}@example.com", name=f"The {role.label}")
            big.members[role] = Member.objects.create(
                campaign=agency.campaign, user=user, role=role, may_sign=role == Role.CLIENT
            )
    return big


def _shot(campaign: Campaign, number: int) -> Shot:
    return Shot(
        campaign=campaign,
        number=number,
        title=f"Dish number {number}",
        story="A stack that took its time. One person, one fork, nobody in a hurry.",
        composition="Right of the middle and low. The left half and everything above stay calm for type.",
        grade="Warm mids, clean whites, no orange cast on the wall.",
        retouching="Crumbs tidied, one plate chip closed.",
    )


def _texts(shots: list[Shot]) -> None:
    """Light, camera, two foods and three props for each shot."""
    Light.objects.bulk_create(
        Light(shot=shot, key_light="Softbox left, 1.2 m", fill="White card right", mood="Morning") for shot in shots
    )
    Camera.objects.bulk_create(
        Camera(shot=shot, camera="Medium format", lens="80 mm", width_px=11648, height_px=8736) for shot in shots
    )
    HeroFood.objects.bulk_create(
        HeroFood(
            shot=shot,
            name=name,
            hero=2,
            stand_in=1,
            backup=8,
            supplier="Test kitchen",
            recipe=name,
            recipe_version="2",
            hold_minutes=6,
            needs_by=date(2027, 2, 20),
            prep="Cook to order, and fill on the call.",
            handling="The pan is hot: cloths.",
            allergens=["gluten", "milk"],
        )
        for shot in shots
        for name in ("Porridge", "Berries")
    )
    Prop.objects.bulk_create(
        Prop(shot=shot, name=name, quantity=2, source="Prop house", basis=Prop.Basis.HIRE, due=date(2027, 2, 19))
        for shot in shots
        for name in ("Bowl", "Napkin", "Spoon")
    )


def _pictures(agency: Member, shot: Shot) -> None:
    """The first shot's mockup and its first layout, sent as people send them."""
    pictures.add_mockup(agency, shot.key, file=picture())
    pictures.mark_hero(agency, shot.key, zone=tuple(HERO))
    overlays.receive_files(agency, files=[layout()], placement=shot.placements.first().key)


def _copy(campaign: Campaign, shots: list[Shot]) -> None:
    """Mockups, layouts and previews for all that have none, with the results of those that were really made."""
    mockup = Mockup.objects.select_related("file", "work").get(shot=shots[0])
    placed = Layout.objects.select_related("file", "work").get(placement__shot=shots[0])
    preview = Preview.objects.select_related("work").get(layout=placed)
    others = [shot for shot in shots if shot != shots[0]]
    files = _files([mockup.file] * len(others))
    works = _works([mockup.work] * len(others))
    mockups = {shots[0].pk: mockup} | {
        made.shot_id: made
        for made in Mockup.objects.bulk_create(
            Mockup(shot=shot, revision=1, file=file, name="mockup.jpg", sent_by=mockup.sent_by, work=work, hero=HERO)
            for shot, file, work in zip(others, files, works, strict=True)
        )
    }
    empty = list(
        Placement.objects.filter(shot__campaign=campaign)
        .exclude(pk=placed.placement_id)
        .select_related("format", "shot")
    )
    files, works = _files([placed.file] * len(empty)), _works([placed.work] * len(empty))
    _mostly_right(works)
    layouts = Layout.objects.bulk_create(
        Layout(placement=place, revision=1, file=file, name=_named(place), sent_by=placed.sent_by, work=work)
        for place, file, work in zip(empty, files, works, strict=True)
    )
    Preview.objects.filter(placement__in=empty).delete()
    inputs = [
        recipe.inputs(place, mockups[place.shot_id], layout) for place, layout in zip(empty, layouts, strict=True)
    ]
    works = _works([preview.work] * len(empty), inputs)
    Preview.objects.bulk_create(
        Preview(placement=place, layout=layout, mockup=mockups[place.shot_id], work=work, shown=work)
        for place, layout, work in zip(empty, layouts, works, strict=True)
    )


def _named(place: Placement) -> str:
    """A file's name as designers give them: no two alike, as in a real campaign."""
    return f"shot{place.shot.number}_{place.format.name}_{place.language}.png"


def _files(like: list[StoredFile]) -> list[StoredFile]:
    return StoredFile.objects.bulk_create(
        StoredFile(sha256=_digest(), bytes=one.bytes, type=one.type, width=one.width, height=one.height) for one in like
    )


def _works(like: list[Work], inputs: list[dict[str, Any]] | None = None) -> list[Work]:
    return Work.objects.bulk_create(
        Work(
            kind=one.kind,
            key=_digest(),
            inputs=inputs[at] if inputs else one.inputs,
            state=Work.State.DONE,
            result=one.result,
            tries=1,
            ended_at=one.ended_at,
        )
        for at, one in enumerate(like)
    )


def _mostly_right(works: list[Work]) -> None:
    """The one that was made is too small for a poster; of the copies only each twelfth is."""
    for at, work in enumerate(works):
        if at % 12:
            work.result = work.result | {"faults": [], "must_fix": 0, "worth_a_look": 0}
    Work.objects.bulk_update(works, ["result"])


def _digest() -> str:
    return hashlib.sha256(f"benchmark {next(_numbers)}".encode()).hexdigest()


def _talk(big: Big, shots: list[Shot]) -> None:
    """One thread with an answer on each shot, as rows, and one on a placement, as an act."""
    client, agency = big.members[Role.CLIENT], big.members[Role.AGENCY]
    threads = Comment.objects.bulk_create(
        Comment(
            campaign=big.campaign,
            author=client,
            audience="everyone",
            subject=f"shot/{shot.key}",
            pin_x=0.5,
            pin_y=0.5,
            text="Could the syrup run a little further down this side?",
        )
        for shot in shots
    )
    Comment.objects.bulk_create(
        Comment(
            campaign=big.campaign,
            author=agency,
            audience="everyone",
            subject=one.subject,
            text="It is noted.",
            answers=one,
        )
        for one in threads
    )
    talk.comment(client, kind="placement", key=big.placement.key, text="Too dark?", audience="everyone")
