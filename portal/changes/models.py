"""Changes: what shall be different from a locked brief, who asked, what it costs, and who decided."""

import secrets

from django.db import models

from portal.brief.models import Campaign, Version
from portal.files.models import StoredFile
from portal.keys import Keyed
from portal.people.models import Member


def new_salt() -> str:
    """128 random bits: an amount is a short number, and its bare digest could be found by trying."""
    return secrets.token_hex(16)


class Change(Keyed):
    """One departure from the locked brief; "pivot" is one that was made on set.

    It is asked, and then accepted, refused or withdrawn, once and for all (portal/sealing/guard.py). An accepted one
    opens the places that it names until a version that cites it is locked.
    """

    class Kind(models.TextChoices):
        CHANGE = "change", "Change"
        PIVOT = "pivot", "Pivot on set"

    class State(models.TextChoices):
        ASKED = "asked", "Waits for a decision"
        ACCEPTED = "accepted", "Accepted"
        REFUSED = "refused", "Refused"
        WITHDRAWN = "withdrawn", "Withdrawn"

    campaign = models.ForeignKey(Campaign, models.CASCADE, related_name="changes")
    number = models.PositiveIntegerField()
    kind = models.CharField(max_length=10, choices=Kind.choices, default=Kind.CHANGE)
    # The version that was locked when it was raised.
    on_version = models.ForeignKey(Version, models.PROTECT, related_name="+")
    what = models.TextField("what shall be different", max_length=1000)
    why = models.TextField("why", max_length=2000, blank=True)
    asked_by = models.CharField("who asked for it", max_length=160, blank=True)
    raised_by = models.ForeignKey(Member, models.PROTECT, related_name="+")
    raised_at = models.DateTimeField()
    # When it was done on set, which may be well before the network came back.
    happened_at = models.DateTimeField(null=True, blank=True)

    hours_low = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    hours_likely = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    hours_high = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    money = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)
    currency = models.CharField(max_length=8, blank=True)
    retouching = models.TextField("what it does to retouching", max_length=1000, blank=True)
    plates = models.TextField("plates that it needs", max_length=1000, blank=True)
    lists = models.TextField("what it does to lists", max_length=1000, blank=True)

    # [section, shot's key or "" for the whole section], and the same in words as they were when it was raised.
    opens = models.JSONField(default=list, blank=True)
    opens_words = models.TextField(blank=True)

    state = models.CharField(max_length=10, choices=State.choices, default=State.ASKED)
    decided_by = models.ForeignKey(Member, models.PROTECT, null=True, blank=True, related_name="+")
    # The signer in whose place they decided, where that was away.
    decided_for = models.ForeignKey(Member, models.PROTECT, null=True, blank=True, related_name="+")
    decided_at = models.DateTimeField(null=True, blank=True)
    decided_why = models.TextField(max_length=2000, blank=True)
    decided_name = models.CharField("name as it was typed", max_length=120, blank=True)
    # A pivot that was accepted by a signer who was not there.
    decided_away = models.BooleanField("decided away from the set", default=False)

    # As portal/changes/presence.py reads it.
    present = models.JSONField("who was present", default=list, blank=True)
    agrees_name = models.CharField("signer present who agrees", max_length=120, blank=True)
    photo = models.ForeignKey(StoredFile, models.PROTECT, null=True, blank=True, related_name="+")

    # A token of the form or device: a request that comes again has no second effect.
    sent_as = models.CharField(max_length=64)
    salt = models.CharField(max_length=32, default=new_salt)
    # The locked version that cites it.
    in_version = models.ForeignKey(Version, models.PROTECT, null=True, blank=True, related_name="changes")

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["campaign", "number"], name="one_change_a_number"),
            models.UniqueConstraint(fields=["campaign", "sent_as"], name="one_change_a_token"),
            models.CheckConstraint(
                condition=models.Q(state="asked", decided_at=None, in_version=None)
                | models.Q(state="accepted", decided_at__isnull=False)
                | models.Q(state__in=["refused", "withdrawn"], decided_at__isnull=False, in_version=None),
                name="change_decided_with_its_state",
            ),
        ]

    def __str__(self) -> str:
        return f"change {self.number}"
