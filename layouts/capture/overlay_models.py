"""Set overlays: the pictures for live view that somebody asked for, one row for each capture."""

from typing import ClassVar

from django.db import models

from portal.keys import Keyed
from portal.models import Member, Version, Work
from shots.models import Shot


class SetOverlay(Keyed):
    """A capture's pictures, as drawn from a version of the brief or from the draft; its work draws them.

    The newest of a shot are those that share its latest `asked_at`.
    """

    shot = models.ForeignKey(Shot, models.CASCADE, related_name="set_overlays")
    capture = models.PositiveSmallIntegerField()
    # None: of the draft, which not everybody may read.
    version = models.ForeignKey(Version, models.PROTECT, null=True, blank=True, related_name="+")
    work = models.ForeignKey(Work, models.PROTECT, related_name="+")
    asked_by = models.ForeignKey(Member, models.PROTECT, related_name="+")
    asked_at = models.DateTimeField()

    untold: ClassVar = {"work": "what the worker draws of a plan can be drawn again"}

    class Meta:
        ordering = ["shot", "-asked_at", "capture"]
        constraints = [models.UniqueConstraint(fields=["shot", "work"], name="one_set_overlay_a_work")]

    def __str__(self) -> str:
        return f"overlays of {self.shot}, capture {self.capture}"
