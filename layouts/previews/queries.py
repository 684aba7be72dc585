"""How placements are seen: each with its shot's mockup, its layout and its preview, and what follows from them."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Prefetch, Q
from django.utils.functional import cached_property

from layouts.formats.models import Placement
from layouts.formats.queries import read_states, read_wanted
from layouts.imaging.geometry import Rect, Zone, hero_in_window
from layouts.overlays.models import Layout
from layouts.pictures import queries as pictures
from layouts.pictures.models import Mockup
from layouts.previews import recipe
from layouts.previews.models import Preview
from portal.brief import reading
from portal.models import Campaign, Work

MM_PER_INCH = 25.4


@dataclass(frozen=True)
class Seen:
    """One placement and all that a page says of its picture. `mockup` and `layout` are the current ones.

    Where the crop and the hero zone lie is computed once, for it is asked many times in a reading of 1,440 placements.
    A `Seen` holds rows as they were read: after an act, read anew.
    """

    placement: Placement
    mockup: Mockup | None
    layout: Layout | None
    preview: Preview | None

    @property
    def state(self) -> str:
        """no-mockup, making (no picture yet), redoing (the one before is shown), failed, there."""
        if self.mockup is None or self.preview is None:
            return "no-mockup" if self.mockup is None else "making"
        if self.preview.work.open:
            return "redoing" if self.visible else "making"
        return "failed" if self.preview.work.state == Work.State.FAILED else "there"

    @property
    def open(self) -> bool:
        """Whether the worker still has something to do here, so that a page should look again."""
        return self.state in ("making", "redoing") or self.layout_state == "preparing"

    @property
    def layout_state(self) -> str:
        """owed, preparing, failed, laid (its newest revision is what is seen), waiting (for its preview)."""
        if self.layout is None:
            return "owed"
        if self.layout.work.open:
            return "preparing"
        if self.layout.work.state == Work.State.FAILED:
            return "failed"
        return "laid" if self.preview and self.state == "there" else "waiting"

    @property
    def visible(self) -> Work | None:
        return self.preview.visible if self.preview else None

    @property
    def laid(self) -> bool:
        """Whether the picture that is shown has a layout over it."""
        return bool(self.visible and self.visible.inputs["layout"])

    @property
    def files(self) -> dict[str, Any]:
        """The rendering's files: which -> {path, type, width, height, bytes}; empty before the first."""
        return self.visible.result["files"] if self.visible else {}

    @property
    def tag(self) -> str:
        """The part of an image's address that changes with its pixels."""
        return tag_of(self.visible) if self.visible else ""

    @cached_property
    def crop(self) -> list[float] | None:
        """The crop that now stands, in fractions of the mockup."""
        return recipe.crop_of(self.placement, self.mockup) if self.mockup else None

    @cached_property
    def crop_px(self) -> Rect | None:
        if self.mockup is None or self.crop is None:
            return None
        return recipe.in_pixels(self.crop, self.mockup.file.width, self.mockup.file.height)

    @property
    def framed_now(self) -> bool:
        """Whether the picture that is seen shows the present mockup in the present crop, so that marks fit it."""
        made = self.visible.inputs if self.visible else {}
        return self.mockup is not None and made.get("mockup") == self.mockup.file.sha256 and made["crop"] == self.crop

    @property
    def ppi(self) -> float | None:
        """Pixels of the mockup per inch of the poster at its full size; None where that size is not known."""
        if self.crop_px is None or not self.placement.format.width_mm:
            return None
        return self.crop_px.width / (self.placement.format.width_mm / MM_PER_INCH)

    @cached_property
    def hero(self) -> tuple[Zone, float] | None:
        """The hero zone in fractions of the placement's window, and the share of it (0 to 1) that lies inside."""
        if self.mockup is None or self.mockup.hero is None or self.crop_px is None:
            return None
        x0, y0, x1, y1 = self.mockup.hero
        return hero_in_window(self.crop_px, self.mockup.file.width, self.mockup.file.height, (x0, y0, x1, y1))


def tag_of(work: Work) -> str:
    """What names a rendering in addresses: enough of its key that two never meet."""
    return work.key[:16]


def seen(campaign: Campaign, *, shots: Sequence[int] | None = None, language: str = "") -> list[Seen]:
    """The wanted placements of a campaign, of those shots (primary keys) and that language, in their order.

    Three queries, whatever the number of placements.
    """
    found = Placement.objects.filter(shot__campaign=campaign, wanted=True)
    if shots is not None:
        found = found.filter(shot__in=shots)
    if language:
        found = found.filter(language=language)
    return _seen(campaign, found)


def crops(campaign: Campaign) -> list[Seen]:
    """All wanted placements with their shot, format and mockup alone: enough for crops and hero zones.

    Three light queries, once while a document or readiness is drawn up: readiness asks after every act, of 1,440
    placements in a large campaign.
    """
    return reading.once(campaign, "layouts.crops", lambda: _crops(campaign))


def _crops(campaign: Campaign) -> list[Seen]:
    mockups = pictures.read(campaign)
    return [Seen(row, mockups[row.shot_id], None, None) for row in read_wanted(campaign) if row.shot_id in mockups]


@dataclass(frozen=True)
class Made:
    """What came of a placement's preview as it now stands: its work's state, what that says, what it measured."""

    state: str
    says: str
    measured: dict[str, Any] | None


def made(campaign: Campaign) -> dict[int, Made]:
    """What came of each wanted placement's preview, by the placement's primary key."""
    return {
        row["pk"]: Made(row["preview__work__state"], row["preview__work__says"], row["measured"])
        for row in read_states(campaign)
        if row["preview__work__state"]
    }


def seen_one(campaign: Campaign, placement: str) -> Seen:
    """One placement by its key; Placement.DoesNotExist also for another campaign's, or one that is not wanted."""
    rows = _seen(campaign, Placement.objects.filter(shot__campaign=campaign, wanted=True, key=placement))
    if not rows:
        raise Placement.DoesNotExist
    return rows[0]


def _seen(campaign: Campaign, found: Any) -> list[Seen]:
    layouts = Layout.objects.filter(current=True).select_related("file", "work", "sent_by__user").defer("work__result")
    mockups = Mockup.objects.filter(current=True).select_related("file", "work", "sent_by__user")
    rows = (
        found.select_related("shot", "format", "preview__work", "preview__shown", "preview__detail", "preview__proof")
        .prefetch_related(
            Prefetch("layouts", layouts, to_attr="now_layouts"),
            Prefetch("shot__mockups", mockups, to_attr="now_mockups"),
        )
        .order_by("shot__number", "format__position", "format_id", "language")
    )
    for row in rows:
        row.format.campaign = campaign  # its terms hold the limits by which a verdict is told
    return [
        Seen(
            row,
            row.shot.now_mockups[0] if row.shot.now_mockups else None,
            row.now_layouts[0] if row.now_layouts else None,
            getattr(row, "preview", None),
        )
        for row in rows
    ]


def rendering(campaign: Campaign, placement: str, tag: str) -> Work:
    """The finished rendering that an image's address names, if it is one that the placement still shows.

    Raises Preview.DoesNotExist for a retired one, another campaign's, or none.
    """
    previews = Preview.objects.select_related("work", "shown", "detail", "proof")
    preview = previews.get(placement__key=placement, placement__shot__campaign=campaign)
    for work in (preview.work, preview.shown, preview.detail, preview.proof):
        if work and tag_of(work) == tag and work.state == Work.State.DONE:
            return work
    raise Preview.DoesNotExist


def campaigns_of(work: Work) -> list[int]:
    """Primary keys of the campaigns that show this work."""
    mine = Q(preview__work=work) | Q(preview__detail=work) | Q(preview__proof=work)
    return list(Placement.objects.filter(mine).values_list("shot__campaign", flat=True).distinct())


def owed_with(work: Work) -> list[Work]:
    """Other owed previews of the same mockup that a placement shows, oldest first."""
    owed = Work.objects.filter(kind=work.kind, state=Work.State.OWED, inputs__mockup=work.inputs["mockup"])
    return list(owed.filter(previews__isnull=False).exclude(pk=work.pk).order_by("owed_at", "pk").distinct())
