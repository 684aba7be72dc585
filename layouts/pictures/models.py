"""Mockups: the agreed composition of a shot, in revisions."""

from django.db import models
from django.db.models import Q

from portal.files.models import Revision
from shots.models import Shot


class Mockup(Revision):
    """One revision of a shot's mockup, with the hero zone marked on it; its work makes the copies that pages show."""

    shot = models.ForeignKey(Shot, models.CASCADE, related_name="mockups")
    # [x0, y0, x1, y1] in fractions of the upright picture.
    hero = models.JSONField(null=True, blank=True)

    class Meta:
        ordering = ["shot", "-revision"]
        constraints = [
            models.UniqueConstraint(fields=["shot", "revision"], name="one_mockup_a_revision"),
            models.UniqueConstraint(fields=["shot"], condition=Q(current=True), name="one_current_mockup"),
        ]

    def __str__(self) -> str:
        return f"mockup of {self.shot}, revision {self.revision}"
