"""Acts on hero food, and the client's word that a recipe is the one sold."""

from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from portal.access import May
from portal.brief import once as forms
from portal.brief.both import Read, Telling, leave_if_touched, settle
from portal.brief.draft import ANY, need_open, open_draft
from portal.models import Member
from portal.sealing import log
from shots.food.models import HeroFood
from shots.rows import change, plainly

FIELDS = (
    "name",
    "hero",
    "stand_in",
    "backup",
    "supplier",
    "recipe",
    "recipe_version",
    "substitution",
    "hold_minutes",
    "needs_by",
    "prep",
    "handling",
    "allergens",
    "notes",
)
# A change of one is a change of the other.
TOGETHER = (("recipe", "recipe_version"),)
# What the client's word stands for: when one of these changes, it stands no longer.
SOLD = ("name", "recipe", "recipe_version", "substitution")
EDITED = Telling(("food.edited",))


@transaction.atomic
def add_food(by: Member, shot: str, *, name: str, once: str = "", **fields: Any) -> HeroFood:
    """Add hero food to a shot; `fields`: any other of FIELDS. A form sent again (`once`) gives the row it made.

    Raises PermissionDenied, BriefClosed, Shot.DoesNotExist (also for another campaign's shot), ValidationError.
    """
    campaign = open_draft(by, May.EDIT_FOOD, "food", shot)
    if made := forms.done(by, once):
        return HeroFood.objects.get(key=forms.key(made[0]), shot__campaign=campaign)
    row = HeroFood(shot=campaign.shots.get(key=shot))
    change(row, {"name": name, **fields}, FIELDS)
    log.append(by, "food.added", f"food/{row.key}", shot=shot, now=plainly(row, FIELDS), **forms.mark(once))
    return row


@transaction.atomic
def edit_food(by: Member, food: str, *, read: Read = None, **fields: Any) -> HeroFood:
    """Change any of FIELDS; the client's words on recipe and substitution fall when what they stood for changes.

    Raises PermissionDenied, BriefClosed, HeroFood.DoesNotExist (also for another campaign's food), ValidationError,
    and of these ChangedMeanwhile where somebody else changed the same fields since `read`, as the editor had them.
    """
    row = _row(by, food, May.EDIT_FOOD)
    mine = settle(by, read, plainly(row, FIELDS), fields, subject=f"food/{row.key}", telling=EDITED, together=TOGETHER)
    was, now = change(row, mine, FIELDS)
    if not now:
        return row
    void = row.as_sold == HeroFood.AsSold.CONFIRMED and any(name in now for name in SOLD)
    if void:
        _set(row, HeroFood.AsSold.NOT_ASKED)
    uncleared = bool(row.cleared_by) and any(name in now for name in SOLD)
    if uncleared:
        _clear(row)
    voids: dict[str, Any] = {"confirmation_void": void} | ({"clearing_void": True} if uncleared else {})
    log.append(by, "food.edited", f"food/{row.key}", name=row.name, was=was, now=now, **voids)
    return row


@transaction.atomic
def remove_food(by: Member, food: str, *, read: int | None = None) -> None:
    """Remove hero food from its shot; `read`: how long the log was when it was decided.

    Raises PermissionDenied, BriefClosed, HeroFood.DoesNotExist, TouchedMeanwhile when others have changed it since.
    """
    row = _row(by, food, May.EDIT_FOOD)
    leave_if_touched(by, read, row)
    row.delete()
    log.append(by, "food.removed", f"food/{food}", shot=row.shot.key, was=plainly(row, FIELDS))


@transaction.atomic
def ask_recipe(by: Member, food: str) -> HeroFood:
    """Note that the client has been asked whether the recipe is the one sold.

    Raises PermissionDenied, BriefClosed, HeroFood.DoesNotExist, ValidationError without recipe and version.
    """
    row = _row(by, food, May.EDIT_FOOD)
    _need_recipe(row)
    if row.as_sold == HeroFood.AsSold.NOT_ASKED:
        _set(row, HeroFood.AsSold.ASKED)
        log.append(by, "recipe.asked", f"food/{row.key}", **plainly(row, SOLD))
    return row


@transaction.atomic
def confirm_recipe(by: Member, food: str, *, recipe: str, recipe_version: str, substitution: str = "") -> HeroFood:
    """Confirm for the client that recipe and version are as sold; the arguments are what the client read.

    Raises PermissionDenied, BriefClosed, HeroFood.DoesNotExist; ValidationError when the row has changed meanwhile.
    """
    row = _row(by, food, May.CONFIRM_RECIPE)
    _need_recipe(row)
    if (recipe, recipe_version, substitution) != (row.recipe, row.recipe_version, row.substitution):
        raise ValidationError("The recipe was changed while you were reading it. Read it again, then confirm it.")
    if row.as_sold != HeroFood.AsSold.CONFIRMED:
        _set(row, HeroFood.AsSold.CONFIRMED, by)
        log.append(by, "recipe.confirmed", f"food/{row.key}", **plainly(row, SOLD))
    return row


@transaction.atomic
def clear_substitution(
    by: Member, food: str, *, legal_reader: str, recipe: str, recipe_version: str, substitution: str
) -> HeroFood:
    """Say for the client that its legal reader, by name, has cleared the substitution; the rest is what was read.

    Given twice by the same name it is one word; another name takes its place. Raises PermissionDenied, BriefClosed,
    HeroFood.DoesNotExist; ValidationError without a name, without a substitution, and when the row changed meanwhile.
    """
    row = _row(by, food, May.CONFIRM_RECIPE)
    name = legal_reader.strip()
    if not row.substitution:
        raise ValidationError("There is no substitution here, so there is nothing to clear.")
    if (recipe, recipe_version, substitution) != (row.recipe, row.recipe_version, row.substitution):
        raise ValidationError("The substitution was changed while you were reading it. Read it again, then clear it.")
    if not name:
        raise ValidationError("Name the legal reader who has cleared it.")
    if row.cleared_by != name:
        _clear(row, name, by)
        log.append(by, "recipe.cleared", f"food/{row.key}", **plainly(row, SOLD), legal_reader=name)
    return row


def _row(by: Member, food: str, act: May) -> HeroFood:
    campaign = open_draft(by, act, "food", ANY)
    row = HeroFood.objects.select_related("shot").get(key=food, shot__campaign=campaign)
    need_open(campaign, "food", row.shot.key)
    return row


def _need_recipe(row: HeroFood) -> None:
    if not (row.recipe and row.recipe_version):
        raise ValidationError("Name the recipe and its version first: that is what the client confirms.")


def _set(row: HeroFood, as_sold: str, by: Member | None = None) -> None:
    row.as_sold = as_sold
    row.confirmed_by = by
    row.confirmed_at = timezone.now() if by else None
    row.save(update_fields=["as_sold", "confirmed_by", "confirmed_at"])


def _clear(row: HeroFood, legal_reader: str = "", by: Member | None = None) -> None:
    """Keep who cleared the substitution, or that nobody has."""
    row.cleared_by, row.cleared_by_member, row.cleared_at = legal_reader, by, timezone.now() if by else None
    row.clean_fields(exclude=[field.name for field in row._meta.fields if field.name != "cleared_by"])
    row.save(update_fields=["cleared_by", "cleared_by_member", "cleared_at"])
