"""Acts on formats and on the grid of placements."""

from collections.abc import Iterable
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max

from layouts.formats import queries
from layouts.formats.models import FIELDS, Format, Placement
from layouts.overlays import preparing
from layouts.pictures.models import Mockup
from layouts.pictures.queries import revision_of
from layouts.previews.actions import owe_for_placement, owe_for_placements
from portal.access import May
from portal.brief import once as forms
from portal.brief.both import Read, Telling, leave_if_touched, refuse_if, settle, since
from portal.brief.draft import ANY, need_open, open_draft, refuse
from portal.brief.fields import zone_words
from portal.models import Campaign, Member
from portal.sealing import log
from portal.site.sentences import count

# What decides how a layout is inspected and a picture cropped.
_MEASURES = {"width_mm", "height_mm", "artwork_scale", "width_px", "height_px", "distance_m"}
# A crop that was set by hand has the format's shape to within this.
_CROP_SHAPE = 0.01
# One size and its artwork: a change of one is a change of all.
TOGETHER = (("width_mm", "height_mm", "artwork_scale", "width_px", "height_px"),)
EDITED = Telling(("format.edited",))
CROPPED = Telling(
    ("placement.cropped",),
    did="set this crop",
    meanwhile="while you were at it",
    beside="changed the mockup that the crop is of",
    beside_acts=("mockup.sent", "mockup.stands-again"),
    say=lambda crop: f"it is {zone_words(crop)}" if crop else "it is left to be computed",
)


@transaction.atomic
def add_formats(by: Member, *, formats: Iterable[dict[str, Any]], once: str = "") -> list[Format]:
    """Order formats, each given by FIELDS; the grid of placements grows by them. A form sent again (`once`)
    gives the formats that it made.

    Raises PermissionDenied, BriefClosed, ValidationError.
    """
    campaign = open_draft(by, May.EDIT_SHOTS, "formats")
    if entries := forms.done(by, once):
        return list(campaign.formats.filter(key__in=[forms.key(entry) for entry in entries]))
    last = campaign.formats.aggregate(last=Max("position"))["last"] or 0
    made = []
    for position, fields in enumerate(formats, start=last + 1):
        format = Format(campaign=campaign, position=position, **fields)
        _check(format)
        format.save()
        made.append(format)
    fill_grid(campaign)
    for format in made:
        told = {name: getattr(format, name) for name in FIELDS}
        log.append(by, "format.added", f"format/{format.key}", **told, **forms.mark(once))
    return made


@transaction.atomic
def edit_format(by: Member, format: str, *, read: Read = None, **fields: Any) -> Format:
    """Change any of FIELDS; a new size has the layouts inspected and the previews rendered anew.

    `read`: the fields as their editor read them. Raises PermissionDenied, BriefClosed, Format.DoesNotExist,
    ValidationError, and of these ChangedMeanwhile where somebody else changed the same fields.
    """
    campaign = open_draft(by, May.EDIT_SHOTS, "formats")
    if unknown := set(fields) - set(FIELDS):
        raise ValueError(f"not fields of a format: {sorted(unknown)}")
    row = Format.objects.select_related("campaign").get(key=format, campaign=by.campaign_id)
    stands = {name: getattr(row, name) for name in FIELDS}
    fields = settle(by, read, stands, fields, subject=f"format/{row.key}", telling=EDITED, together=TOGETHER)
    was = {name: stands[name] for name in fields}
    changed = {name: value for name, value in fields.items() if value != was[name]}
    if not changed:
        return row
    shape = row.aspect
    for name, value in changed.items():
        setattr(row, name, value)
    _check(row)
    row.save(update_fields=list(changed))
    if abs(row.aspect - shape) > _CROP_SHAPE * shape:
        _drop_crops(campaign, row)
    log.append(
        by, "format.edited", f"format/{row.key}", name=row.name, was={name: was[name] for name in changed}, now=changed
    )
    if set(changed) & _MEASURES:
        preparing.inspect_again(row)
        owe_for_placements(row.placements.all())
    return row


@transaction.atomic
def move_format(by: Member, format: str, *, up: bool, once: str = "") -> None:
    """Swap a format with the one before it (or behind it); at the end of the list nothing happens.

    A form sent again (`once`) moves nothing. Raises PermissionDenied, BriefClosed, Format.DoesNotExist.
    """
    campaign = open_draft(by, May.EDIT_SHOTS, "formats")
    order = list(campaign.formats.all())
    here = next((place for place, row in enumerate(order) if row.key == format), None)
    if here is None:
        raise Format.DoesNotExist
    there = here - 1 if up else here + 1
    if forms.done(by, once):
        return
    if not 0 <= there < len(order):
        return
    order[here], order[there] = order[there], order[here]
    for position, row in enumerate(order, start=1):
        row.position = position
    Format.objects.bulk_update(order, ["position"])
    log.append(by, "format.moved", f"format/{format}", was=here + 1, now=there + 1, **forms.mark(once))


@transaction.atomic
def remove_format(by: Member, format: str, *, confirmed: bool = False, read: int | None = None) -> None:
    """Take a format out of the order, with its placements; while it has layouts only when that is `confirmed`.

    `read`: how long the log was when it was decided. Raises PermissionDenied, BriefClosed, Format.DoesNotExist;
    ValidationError that says what would go, or, TouchedMeanwhile, what others have done to it since.
    """
    open_draft(by, May.EDIT_SHOTS, "formats")
    row = Format.objects.get(key=format, campaign=by.campaign_id)
    leave_if_touched(by, read, row)
    goes = queries.what_goes(row)
    if goes.layouts and not confirmed:
        raise ValidationError(goes.sentence)
    row.delete()
    log.append(
        by, "format.removed", f"format/{format}", name=row.name, placements=goes.placements, layouts=goes.layouts
    )


@transaction.atomic
def set_wanted(by: Member, *, placements: Iterable[str], wanted: bool, read: int | None = None) -> int:
    """Want these placements, or no longer; how many changed. Their layouts stay with them.

    `read`: how long the log was when the grid was read. Raises PermissionDenied, BriefClosed; Placement.DoesNotExist
    when one is not of this campaign; TouchedMeanwhile where somebody else has since decided the opposite of one.
    """
    campaign = open_draft(by, May.EDIT_SHOTS, "formats", ANY)
    keys = set(placements)
    ordered = Placement.objects.filter(shot__campaign=by.campaign_id).select_related("shot", "format")
    rows = list(ordered.filter(key__in=keys))
    if len(rows) != len(keys):
        raise Placement.DoesNotExist
    changed = [row for row in rows if row.wanted != wanted]
    if not changed:
        return 0
    if read is not None:
        opposite = since(by, read, ["placement.not-wanted" if wanted else "placement.wanted"])
        refuse_if(by, [entry for entry in opposite if keys & set(entry.payload["placements"])])
    for shot in sorted({row.shot.key for row in changed}):
        need_open(campaign, "formats", shot)
    Placement.objects.filter(pk__in=[row.pk for row in changed]).update(wanted=wanted, dropped=False)
    act = "placement.wanted" if wanted else "placement.not-wanted"
    subject = f"placement/{changed[0].key}" if len(changed) == 1 else ""
    what = queries.words(changed[0]) if len(changed) == 1 else count(len(changed), "placement")
    log.append(by, act, subject, what=what, placements=sorted(row.key for row in changed))
    owe_for_placements(changed)
    return len(changed)


@transaction.atomic
def set_crop(by: Member, placement: str, *, crop: list[float] | None, read: Read = None) -> Placement:
    """Set by hand which part of the mockup a placement shows, or leave it to be computed (None).

    `crop` is [x0, y0, x1, y1] in fractions of the mockup, of the format's shape. `read`: crop and mockup (its
    revision) as they were read. Raises PermissionDenied, BriefClosed, Placement.DoesNotExist, ValidationError, and of
    these ChangedMeanwhile where somebody else set the crop or sent another mockup.
    """
    campaign = open_draft(by, May.EDIT_SHOTS, "pictures", ANY)
    row = Placement.objects.select_related("format", "shot").get(key=placement, shot__campaign=by.campaign_id)
    need_open(campaign, "pictures", row.shot.key)
    crop = None if crop is None else [round(float(edge), 5) for edge in crop]
    if crop is not None:
        _check_crop(row, crop)
    subject = f"placement/{row.key}"
    on, rests = (subject, f"shot/{row.shot.key}"), {"mockup": revision_of(row.shot)}
    settle(by, read, {"crop": row.crop}, {"crop": crop}, subject=on, telling=CROPPED, rests=rests)
    if crop == row.crop:
        return row
    was, row.crop = row.crop, crop
    row.save(update_fields=["crop"])
    log.append(by, "placement.cropped", subject, was=was, now=crop)
    owe_for_placement(row)
    return row


def fill_grid(campaign: Campaign) -> None:
    """Make the placements that are missing: every shot in every format in every language of the campaign.

    Within another act's transaction; rows that are there keep what was decided about them. Those of a language that
    was taken out are no longer wanted, until it comes back.
    """
    in_grid = Placement.objects.filter(shot__campaign=campaign)
    in_grid.filter(wanted=True).exclude(language__in=campaign.languages).update(wanted=False, dropped=True)
    in_grid.filter(dropped=True, language__in=campaign.languages).update(wanted=True, dropped=False)
    there = set(in_grid.values_list("shot_id", "format_id", "language"))
    formats = list(campaign.formats.all())
    missing = [
        Placement(shot=shot, format=format, language=language)
        for shot in campaign.shots.all()
        for format in formats
        for language in campaign.languages
        if (shot.pk, format.pk, language) not in there
    ]
    Placement.objects.bulk_create(missing, ignore_conflicts=True)
    if Mockup.objects.filter(shot__campaign=campaign).exists():
        _owe_where_missing(in_grid)


def _owe_where_missing(in_grid: Any) -> None:
    """Previews for wanted placements that have none though their shot has a mockup, and none for the others."""
    without = in_grid.filter(wanted=True, preview=None, shot__mockups__current=True)
    left_over = in_grid.filter(wanted=False).exclude(preview=None)
    owe_for_placements([*without.distinct(), *left_over])


def _drop_crops(campaign: Campaign, format: Format) -> None:
    """A crop of the old shape would no longer fit: where one was set by hand, the shot's pictures change too."""
    by_hand = format.placements.exclude(crop=None)
    for shot in by_hand.order_by("shot__number").values_list("shot__key", flat=True).distinct():
        need_open(campaign, "pictures", shot)
    by_hand.update(crop=None)


def _check(format: Format) -> None:
    """full_clean, with a sentence for a name that is taken."""
    format.name = format.name.strip()
    same = Format.objects.filter(campaign=format.campaign, name=format.name).exclude(pk=format.pk)
    if same.exists():
        raise refuse("name", f"{format.name} is ordered already. Give the second one a name of its own.")
    format.full_clean()


def _check_crop(placement: Placement, crop: list[float]) -> None:
    if len(crop) != 4 or not (0 <= crop[0] < crop[2] <= 1 and 0 <= crop[1] < crop[3] <= 1):
        raise refuse("__all__", "The crop needs a width and a height, inside the picture.")
    mockup = Mockup.objects.filter(shot=placement.shot_id, current=True).select_related("file").first()
    if mockup is None:
        raise refuse("__all__", "This shot has no mockup yet: there is nothing to crop.")
    wide, high = (crop[2] - crop[0]) * mockup.file.width, (crop[3] - crop[1]) * mockup.file.height
    wanted = placement.format.aspect
    # One pixel of rounding on the shorter side is no other shape.
    if abs(wide / high - wanted) > (_CROP_SHAPE + 1 / min(wide, high)) * wanted:
        raise refuse(
            "__all__",
            f"The crop is {wide / high:.2f} : 1; {placement.format.name} is {wanted:.2f} : 1. Keep its shape.",
        )
