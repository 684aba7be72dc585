"""Stored files: originals under their SHA-256, never altered."""

from typing import ClassVar

from django.db import models

from portal.keys import Keyed
from portal.people.models import Member
from portal.work.models import Work


class StoredFile(models.Model):
    """An original as it came. Rows that refer to it give it a name and decide who may have it."""

    sha256 = models.CharField(max_length=64, unique=True)
    bytes = models.PositiveBigIntegerField()
    # What its bytes say it is: png, jpeg, tiff, webp, pdf, psd.
    type = models.CharField(max_length=8)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    stored_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return f"{self.type} {self.width} x {self.height}, {self.sha256[:8]}"

    @property
    def path(self) -> str:
        """Its name in storage."""
        return f"originals/{self.sha256[:2]}/{self.sha256}"


class Revision(Keyed):
    """One revision of what is sent as a file (a layout, a mockup): the newest is current, the older stay."""

    revision = models.PositiveSmallIntegerField()
    current = models.BooleanField(default=True)
    file = models.ForeignKey(StoredFile, models.PROTECT, related_name="+")
    name = models.CharField("file name", max_length=300)
    sent_by = models.ForeignKey(Member, models.PROTECT, related_name="+")
    sent_at = models.DateTimeField(auto_now_add=True)
    # What the worker does with the file as soon as it has come; its result holds what was found or made.
    work = models.ForeignKey(Work, models.PROTECT, related_name="+")

    untold: ClassVar = {"work": "what the worker makes of the file can be made again"}

    class Meta:
        abstract = True
