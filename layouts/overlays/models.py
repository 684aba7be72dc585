"""Layout files: the designer's transparent overlays, in revisions, and those whose place is asked about."""

from django.db import models
from django.db.models import Q

from layouts.formats.models import Placement
from portal.files.models import Revision
from portal.keys import Keyed
from portal.models import Campaign, Member, StoredFile


class Layout(Revision):
    """One revision of a placement's layout; its work inspects it and prepares its reduced form."""

    placement = models.ForeignKey(Placement, models.CASCADE, related_name="layouts")
    # {x, y, width, height} in pixels of the file, where the designer has corrected what was found.
    window = models.JSONField(null=True, blank=True)

    class Meta:
        ordering = ["placement", "-revision"]
        constraints = [
            models.UniqueConstraint(fields=["placement", "revision"], name="one_layout_a_revision"),
            models.UniqueConstraint(fields=["placement"], condition=Q(current=True), name="one_current_layout"),
        ]

    def __str__(self) -> str:
        return f"{self.placement}, revision {self.revision}"


class Incoming(Keyed):
    """A file that came and what became of it: placed, asked about, refused with a reason, or put aside."""

    class State(models.TextChoices):
        PLACED = "placed", "placed"
        ASKED = "asked", "its place is asked about"
        REFUSED = "refused", "refused"
        ASIDE = "aside", "put aside"

    campaign = models.ForeignKey(Campaign, models.CASCADE, related_name="incoming")
    state = models.CharField(max_length=8, choices=State.choices)
    # None where the bytes were not something that is kept.
    file = models.ForeignKey(StoredFile, models.PROTECT, null=True, blank=True, related_name="+")
    name = models.CharField("file name", max_length=300)
    says = models.TextField(blank=True)
    # Keys of placements that it may be for, likeliest first.
    candidates = models.JSONField(default=list)
    layout = models.ForeignKey(Layout, models.SET_NULL, null=True, blank=True, related_name="+")
    sent_by = models.ForeignKey(Member, models.PROTECT, related_name="+")
    sent_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-sent_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.name}: {self.state}"
