"""Camera: what each shot is taken with, and from where."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from portal.rows import Row
from shots.shot.models import Shot

# From one pixel to wider than any camera: stitched captures are wider than a sensor.
_PIXELS = [
    MinValueValidator(1, "Give at least 1 pixel."),
    MaxValueValidator(200_000, "Give pixels, at most 200 000 a side."),
]


class Camera(Row):
    """The camera of one shot. A row comes with the first words that are written."""

    shot = models.OneToOneField(Shot, models.CASCADE, related_name="camera")
    camera = models.CharField("camera", max_length=200, blank=True)
    # Pixels of a whole capture, upright as the shot is taken.
    width_px = models.PositiveIntegerField("width of a capture", null=True, blank=True, validators=_PIXELS)
    height_px = models.PositiveIntegerField("height of a capture", null=True, blank=True, validators=_PIXELS)
    lens = models.CharField("lens", max_length=200, blank=True)
    height = models.CharField("height", max_length=200, blank=True, help_text="Such as: 35 cm above the table.")
    angle = models.CharField("angle", max_length=200, blank=True, help_text="Such as: 12 degrees down.")
    distance = models.CharField("distance", max_length=200, blank=True, help_text="From the lens to the hero.")
    focus = models.TextField(
        "focus and depth", max_length=1000, blank=True, help_text="Where it must be sharp, and how far."
    )
    tethering = models.TextField(
        "tethering", max_length=1000, blank=True, help_text="Where frames go, and who sees them."
    )
    notes = models.TextField("notes", max_length=4000, blank=True)

    def __str__(self) -> str:
        return f"camera of shot {self.shot}"
