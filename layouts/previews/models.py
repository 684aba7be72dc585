"""Previews: each placement's layout over its shot's mockup, as they now stand."""

from typing import ClassVar

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
    # What was last rendered: shown until `work` is done, so that a picture never goes away while it is redone.
    shown = models.ForeignKey(Work, models.SET_NULL, null=True, blank=True, related_name="+")
    # The full pixels of the crop, laid over and bare: only once somebody has asked for them.
    detail = models.ForeignKey(Work, models.SET_NULL, null=True, blank=True, related_name="+")
    # How it will print: the same.
    proof = models.ForeignKey(Work, models.SET_NULL, null=True, blank=True, related_name="+")

    untold: ClassVar = {"*": "what the worker makes of a layout and a mockup can be made again"}

    def __str__(self) -> str:
        return f"preview of {self.placement}"

    @property
    def visible(self) -> Work | None:
        """The rendering that pages show: this one when it is done, else the one before it; None before the first."""
        return self.work if self.work.state == Work.State.DONE else self.shown
