"""Light: how each shot is lit, in words; a later computation reads the same row."""

from django.db import models

from portal.rows import Row
from shots.shot.models import Shot


class Light(Row):
    """The light of one shot. A row comes with the first words that are written."""

    shot = models.OneToOneField(Shot, models.CASCADE, related_name="light")
    key_light = models.TextField(
        "key", max_length=1000, blank=True, help_text="The main lamp: what it is, where it stands, how hard it falls."
    )
    fill = models.TextField(
        "fill", max_length=1000, blank=True, help_text="What opens the shadows, and how far away it stands."
    )
    ground = models.TextField(
        "background and ground", max_length=1000, blank=True, help_text="How the wall and the table are lit."
    )
    mood = models.TextField("mood", max_length=1000, blank=True)
    time_of_day = models.CharField(
        "time of day", max_length=120, blank=True, help_text="The hour that the light should tell of."
    )
    lamps = models.TextField(
        "practical lamps", max_length=1000, blank=True, help_text="Lamps and flames that are seen in the picture."
    )
    power = models.TextField(
        "power", max_length=1000, blank=True, help_text="What draws how much, and where it is plugged in."
    )
    caution = models.TextField(
        "caution",
        max_length=1000,
        blank=True,
        help_text="What here can hurt somebody, and what is done about it. Local codes and licensed practice decide.",
    )
    notes = models.TextField("notes", max_length=4000, blank=True)

    def __str__(self) -> str:
        return f"light of shot {self.shot}"
