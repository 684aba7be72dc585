"""Previews: each placement's layout over its shot's mockup, as they now stand."""

from django.db import models

from layouts.formats.models import Placement
from layouts.overlays.models import Layout
from layouts.pictures.models import Mockup
from portal.models import Work


class Preview(models.Model):
    """The preview of a placement as it stands; replaced when layout, mockup, hero zone or crop change.

    The pixels belong to `work`, keyed by the digest of its inputs: the same inputs are never rendered twice.
    """

    placement = models.OneToOneField(Placement, models.CASCADE, related_name="preview")
    # None while no layout has come: the bare crop is shown.
    layout = models.ForeignKey(Layout, models.CASCADE, null=True, blank=True, related_name="+")
    mockup = models.ForeignKey(Mockup, models.CASCADE, related_name="+")
    work = models.ForeignKey(Work, models.PROTECT, related_name="previews")

    def __str__(self) -> str:
        return f"preview of {self.placement}"
