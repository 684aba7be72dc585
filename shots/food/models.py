"""Hero food: what is eaten with the eyes, and how much of it must be there."""

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator
from django.db import models

from portal.keys import Keyed
from portal.models import Member
from shots.food.allergens import NAMES
from shots.shot.models import Shot

MOST = 9999
_COUNT = [MaxValueValidator(MOST, f"Give a number up to {MOST}.")]


class HeroFood(Keyed):
    """One food of one shot. What serves several shots has a row in each; lists add them up."""

    class AsSold(models.TextChoices):
        NOT_ASKED = "not-asked", "not asked yet"
        ASKED = "asked", "client asked"
        CONFIRMED = "confirmed", "confirmed as sold"

    shot = models.ForeignKey(Shot, models.CASCADE, related_name="food")
    name = models.CharField("food", max_length=120)
    hero = models.PositiveIntegerField(
        "heroes", default=1, validators=_COUNT, help_text="Perfect ones, for the camera."
    )
    stand_in = models.PositiveIntegerField(
        "stand-ins", default=0, validators=_COUNT, help_text="In their place while light and focus are found."
    )
    backup = models.PositiveIntegerField(
        "backups", default=0, validators=_COUNT, help_text="To choose the next hero from."
    )
    supplier = models.CharField("supplier", max_length=120, blank=True)
    recipe = models.CharField("recipe", max_length=120, blank=True)
    recipe_version = models.CharField("recipe version", max_length=60, blank=True)
    as_sold = models.CharField("as sold", max_length=10, choices=AsSold.choices, default=AsSold.NOT_ASKED)
    confirmed_by = models.ForeignKey(Member, models.PROTECT, null=True, blank=True, related_name="+")
    confirmed_at = models.DateTimeField(null=True, blank=True)
    substitution = models.TextField(
        "substitution", max_length=1000, blank=True, help_text="What differs from the recipe as sold, and why."
    )
    # The client's legal reader, by name, and who gave that word in the portal; all empty while nobody has cleared it.
    cleared_by = models.CharField("substitution cleared by", max_length=120, blank=True)
    cleared_at = models.DateTimeField(null=True, blank=True)
    cleared_by_member = models.ForeignKey(Member, models.PROTECT, null=True, blank=True, related_name="+")
    hold_minutes = models.PositiveIntegerField(
        "holds", null=True, blank=True, validators=_COUNT, help_text="Minutes that it looks right under the lamps."
    )
    needs_by = models.DateField("needed by", null=True, blank=True)
    prep = models.TextField("preparation", max_length=2000, blank=True)
    handling = models.TextField(
        "handling", max_length=2000, blank=True, help_text="Heat, blades, and who may touch it."
    )
    # Codes of shots.food.allergens in the order of the Annex; [] when it was checked and has none, null while unknown.
    allergens = models.JSONField("allergens", null=True, blank=True)
    notes = models.TextField("notes", max_length=2000, blank=True)

    class Meta:
        ordering = ["shot__number", "pk"]

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        super().clean()
        if self.allergens is not None:
            given = set(self.allergens)
            if unknown := given - set(NAMES):
                raise ValidationError({"allergens": f"These are not among the fourteen: {', '.join(sorted(unknown))}."})
            self.allergens = [code for code in NAMES if code in given]
