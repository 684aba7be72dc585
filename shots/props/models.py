"""Props: what stands round the food."""

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from portal.keys import Keyed
from shots.shot.models import Shot

MOST = 9999


class Prop(Keyed):
    """One prop of one shot. What serves several shots has a row in each; lists add them up."""

    class Basis(models.TextChoices):
        HIRE = "hire", "hire"
        BUY = "buy", "buy"
        OWN = "own", "own"

    shot = models.ForeignKey(Shot, models.CASCADE, related_name="props")
    name = models.CharField("prop", max_length=120)
    quantity = models.PositiveIntegerField(
        "quantity",
        default=1,
        validators=[
            MinValueValidator(1, "Give at least 1, or remove the prop."),
            MaxValueValidator(MOST, f"Give a number up to {MOST}."),
        ],
    )
    source = models.CharField("from", max_length=120, blank=True, help_text="Shop, prop house or shelf.")
    basis = models.CharField("hire, buy or own", max_length=4, choices=Basis.choices, default=Basis.BUY)
    due = models.DateField("due", null=True, blank=True, help_text="When it must be in the studio.")
    returns_by = models.DateField("goes back", null=True, blank=True, help_text="For what is hired.")
    breakable = models.BooleanField("breakable", default=False)
    caution = models.TextField(
        "caution",
        max_length=1000,
        blank=True,
        help_text="What here can hurt somebody, and what is done about it. Local codes and licensed practice decide.",
    )
    note = models.TextField("note", max_length=2000, blank=True)

    class Meta:
        ordering = ["shot__number", "pk"]

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        super().clean()
        if self.basis != self.Basis.HIRE:
            self.returns_by = None
        elif self.due and self.returns_by and self.returns_by < self.due:
            raise ValidationError({"returns_by": "It goes back before it is due in the studio. Check both dates."})
