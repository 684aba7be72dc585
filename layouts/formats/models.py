"""Formats that were ordered, and the grid of placements: shot by format by language."""

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from portal.keys import Keyed
from portal.models import Campaign
from shots.models import Shot

# The longest poster and the longest artwork that make sense; a slip of a digit is caught.
MAX_MM = 100_000
MAX_PX = 65_535
MM = [MinValueValidator(50), MaxValueValidator(MAX_MM)]
PX = [MinValueValidator(50), MaxValueValidator(MAX_PX)]
# Artwork and poster have one shape; rounding to whole pixels moves it by far less than this.
SAME_SHAPE = 0.01
# What an order, the catalogue and a form give of a format.
FIELDS = (
    "name",
    "kind",
    "width_mm",
    "height_mm",
    "artwork_scale",
    "width_px",
    "height_px",
    "distance_m",
    "aliases",
)


class Format(Keyed):
    """An ordered poster or screen size."""

    class Kind(models.TextChoices):
        POSTER = "poster", "Poster"
        SCREEN = "screen", "Screen"

    campaign = models.ForeignKey(Campaign, models.CASCADE, related_name="formats")
    position = models.PositiveSmallIntegerField(default=0)
    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=8, choices=Kind.choices)
    # What is seen, at full size; for a screen where it is known.
    width_mm = models.PositiveIntegerField(null=True, blank=True, validators=MM)
    height_mm = models.PositiveIntegerField(null=True, blank=True, validators=MM)
    # Artwork is made at 1 : artwork_scale.
    artwork_scale = models.PositiveSmallIntegerField(
        default=1, validators=[MinValueValidator(1), MaxValueValidator(100)]
    )
    # Pixels that the artwork of the window needs.
    width_px = models.PositiveIntegerField(validators=PX)
    height_px = models.PositiveIntegerField(validators=PX)
    distance_m = models.FloatField(
        "viewing distance", null=True, blank=True, validators=[MinValueValidator(0.1), MaxValueValidator(1000)]
    )
    # The catalogue's other names for it, so that a file's name can be matched.
    aliases = models.JSONField(default=list, blank=True)

    class Meta:
        ordering = ["position", "pk"]
        constraints = [models.UniqueConstraint(fields=["campaign", "name"], name="one_format_a_name")]

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        if bool(self.width_mm) != bool(self.height_mm):
            raise ValidationError({"height_mm" if self.width_mm else "width_mm": "Give both width and height."})
        if self.kind == self.Kind.POSTER and not self.width_mm:
            raise ValidationError({"width_mm": "A poster needs its size in mm."})
        if self.width_mm and self.height_mm and self.width_px and self.height_px:
            seen, made = self.width_mm / self.height_mm, self.width_px / self.height_px
            if abs(seen - made) > SAME_SHAPE * seen:
                raise ValidationError(
                    {
                        "width_px": f"{self.width_mm} × {self.height_mm} mm is {seen:.2f} : 1, but {self.width_px} × "
                        f"{self.height_px} px is {made:.2f} : 1. The artwork must have the poster's shape."
                    }
                )

    @property
    def aspect(self) -> float:
        """Width over height of what is seen."""
        if self.width_mm and self.height_mm:
            return self.width_mm / self.height_mm
        return self.width_px / self.height_px

    @property
    def size(self) -> str:
        """Its size for people: "6096 × 3048 mm", "1080 × 1920 px"."""
        if self.kind == self.Kind.POSTER and self.width_mm:
            return f"{self.width_mm} × {self.height_mm} mm"
        return f"{self.width_px} × {self.height_px} px"

    @property
    def ppi(self) -> float | None:
        """Pixels per inch of the artwork as it is made; None where no size in mm is known."""
        if not self.width_mm:
            return None
        return self.width_px / (self.width_mm / self.artwork_scale / 25.4)


class Placement(Keyed):
    """A shot in a format, in a language; one that is not wanted keeps its row and its files."""

    shot = models.ForeignKey(Shot, models.CASCADE, related_name="placements")
    format = models.ForeignKey(Format, models.CASCADE, related_name="placements")
    language = models.CharField(max_length=35)
    wanted = models.BooleanField(default=True)
    # Not wanted because its language was taken out of the campaign; wanted again when the language comes back.
    dropped = models.BooleanField(default=False)
    # [x0, y0, x1, y1] in fractions of the mockup where someone has set the crop; else it is computed.
    crop = models.JSONField(null=True, blank=True)

    class Meta:
        ordering = ["shot__number", "format__position", "format_id", "language"]
        constraints = [models.UniqueConstraint(fields=["shot", "format", "language"], name="one_placement_a_cell")]

    def __str__(self) -> str:
        return f"shot {self.shot.number}, {self.format}, {self.language}"
