"""Shots: the pictures that were ordered."""

from django.db import models

from portal.keys import Keyed
from portal.models import Campaign


class Shot(Keyed):
    """One ordered picture: what it shows and how it is meant."""

    campaign = models.ForeignKey(Campaign, models.CASCADE, related_name="shots")
    number = models.PositiveSmallIntegerField()
    title = models.CharField(max_length=120)
    story = models.TextField("what the picture says", blank=True)
    composition = models.TextField(
        "composition", blank=True, help_text="Where things stand, the angle, what is cropped."
    )
    grade = models.TextField("grade", blank=True, help_text="Colour and contrast that were agreed.")
    retouching = models.TextField(
        "retouching", blank=True, help_text="What will be done after the shoot, and what will not."
    )

    class Meta:
        ordering = ["number"]
        constraints = [models.UniqueConstraint(fields=["campaign", "number"], name="one_shot_a_number")]

    def __str__(self) -> str:
        return f"{self.number} {self.title}"
