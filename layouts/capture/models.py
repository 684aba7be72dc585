"""The capture plan of a shot: its settings, and the plan that the photographer accepted."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from portal.keys import Keyed
from portal.models import Member
from shots.models import Shot


def _between(low: float, high: float) -> list[MinValueValidator | MaxValueValidator]:
    return [MinValueValidator(low), MaxValueValidator(high)]


class CapturePlan(Keyed):
    """One shot's plan. A row comes with the first setting; without one the defaults hold.

    Ranges are those of the computation: layouts/imaging/framing/problem.py.
    """

    shot = models.OneToOneField(Shot, models.CASCADE, related_name="capture_plan")
    # Share of the framing that stays free on each side.
    margin = models.FloatField(default=0.03, validators=_between(0, 0.25))
    # How far a capture may be enlarged for the artwork.
    enlargement = models.FloatField(default=1, validators=_between(1, 4))
    # Width over height of the hero; None: of the hero zone on the mockup.
    hero_aspect = models.FloatField(null=True, blank=True, validators=_between(0.02, 50))
    # Keys of placements that are planned elsewhere.
    dropped = models.JSONField(default=list, blank=True)
    # By placement's key: {"down_to": 0.5 to 1, "by": key and "name" of the member who agreed, "at": ISO 8601}.
    tolerances = models.JSONField(default=dict, blank=True)
    # For the lens: width of the sensor's long side, the hero's real height, and either of the last two.
    sensor_mm = models.FloatField(null=True, blank=True, validators=_between(1, 1000))
    hero_mm = models.FloatField(null=True, blank=True, validators=_between(1, 100_000))
    distance_mm = models.FloatField(null=True, blank=True, validators=_between(10, 100_000))
    focal_mm = models.FloatField(null=True, blank=True, validators=_between(1, 5000))
    # What was accepted, as plain data (see layouts/capture/accepted.py), and the digest of its inputs.
    accepted = models.JSONField(null=True, blank=True)
    digest = models.CharField(max_length=64, blank=True)
    accepted_by = models.ForeignKey(Member, models.PROTECT, null=True, blank=True, related_name="+")
    accepted_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"capture plan of shot {self.shot}"
