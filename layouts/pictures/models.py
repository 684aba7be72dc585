"""Mockups: the agreed composition of a shot, in revisions."""

from django.db import models
from django.db.models import Q

from portal.keys import Keyed
from portal.models import Member, StoredFile, Work
from shots.models import Shot


class Mockup(Keyed):
    """One revision of a shot's mockup, with the hero zone marked on it."""

    shot = models.ForeignKey(Shot, models.CASCADE, related_name="mockups")
    revision = models.PositiveSmallIntegerField()
    current = models.BooleanField(default=True)
    file = models.ForeignKey(StoredFile, models.PROTECT, related_name="+")
    name = models.CharField("file name", max_length=300)
    sent_by = models.ForeignKey(Member, models.PROTECT, related_name="+")
    sent_at = models.DateTimeField(auto_now_add=True)
    # The work that makes the copies which pages show (upright, sRGB); its result names them.
    work = models.ForeignKey(Work, models.PROTECT, related_name="+")
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
