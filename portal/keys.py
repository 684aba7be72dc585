"""Names of rows in addresses: random, so that they can be neither guessed nor counted."""

import secrets

from django.db import models

from portal.rows import Row

# Without the letters and figures that are mistaken for each other when read aloud.
_ALPHABET = "23456789abcdefghjkmnpqrstuvwxyz"


def new_key() -> str:
    """Twelve characters, about 59 bits."""
    return "".join(secrets.choice(_ALPHABET) for _ in range(12))


class Keyed(Row):
    """A row with a stable public name: in addresses, in the brief's document, in the log."""

    key = models.CharField(max_length=12, unique=True, default=new_key, editable=False)

    class Meta:
        abstract = True
