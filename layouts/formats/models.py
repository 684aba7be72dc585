"""Formats that were ordered, and the grid of placements: shot by format by language."""

from django.db import models

from portal.keys import Keyed
from portal.models import Campaign
from shots.models import Shot


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
    width_mm = models.PositiveIntegerField(null=True, blank=True)
    height_mm = models.PositiveIntegerField(null=True, blank=True)
    # Artwork is made at 1 : artwork_scale.
    artwork_scale = models.PositiveSmallIntegerField(default=1)
    # Pixels that the artwork of the window needs.
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    distance_m = models.FloatField("viewing distance", null=True, blank=True)
    # The catalogue's other names for it, so that a file's name can be matched.
    aliases = models.JSONField(default=list, blank=True)

    class Meta:
        ordering = ["position", "pk"]
        constraints = [models.UniqueConstraint(fields=["campaign", "name"], name="one_format_a_name")]

    def __str__(self) -> str:
        return self.name

    @property
    def aspect(self) -> float:
        """Width over height of what is seen."""
        if self.width_mm and self.height_mm:
            return self.width_mm / self.height_mm
        return self.width_px / self.height_px


class Placement(Keyed):
    """A shot in a format, in a language; one that is not wanted keeps its row and its files."""

    shot = models.ForeignKey(Shot, models.CASCADE, related_name="placements")
    format = models.ForeignKey(Format, models.CASCADE, related_name="placements")
    language = models.CharField(max_length=35)
    wanted = models.BooleanField(default=True)
    # [x0, y0, x1, y1] in fractions of the mockup where someone has set the crop; else it is computed.
    crop = models.JSONField(null=True, blank=True)

    class Meta:
        ordering = ["shot__number", "format__position", "format_id", "language"]
        constraints = [models.UniqueConstraint(fields=["shot", "format", "language"], name="one_placement_a_cell")]

    def __str__(self) -> str:
        return f"shot {self.shot.number}, {self.format}, {self.language}"
