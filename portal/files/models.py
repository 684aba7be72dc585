"""Stored files: originals under their SHA-256, never altered."""

from django.db import models


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
