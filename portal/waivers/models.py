"""Waivers: a signer's word that the brief may be locked although something in it must be fixed."""

from typing import ClassVar

from django.db import models
from django.db.models import Q

from portal.brief.models import Campaign
from portal.keys import Keyed
from portal.people.models import Member


class Waiver(Keyed):
    """One finding that a signer has waived, with the sentence as it then stood.

    `finding` is `Finding.key`: once what readiness measures has changed, the finding has another key and the waiver
    has lapsed; that its shot has another number is no such change. It is never altered but for being taken back, and
    for what is kept of readiness.
    """

    campaign = models.ForeignKey(Campaign, models.CASCADE, related_name="waivers")
    finding = models.CharField(max_length=64)
    kind = models.CharField(max_length=40)
    says = models.TextField("what was waived")
    what = models.CharField(max_length=400)
    reason = models.TextField("why", max_length=2000)
    typed_name = models.CharField("name as typed", max_length=120)
    given_by = models.ForeignKey(Member, models.PROTECT, related_name="+")
    # Role and name as they were: what is in a version must read the same when people change theirs.
    given_role = models.CharField(max_length=40)
    given_at = models.DateTimeField()
    withdrawn_by = models.ForeignKey(Member, models.PROTECT, null=True, blank=True, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    # Whether readiness last found what is waived; kept as the campaign's standing is (brief/standing.py), so that a
    # document is drawn up without asking all of readiness.
    holds = models.BooleanField(default=True)
    # Its place and sentence as readiness last found them, its shot having another number; empty while it has not.
    what_now = models.CharField(max_length=400, blank=True, default="")
    says_now = models.TextField(blank=True, default="")

    untold: ClassVar = dict.fromkeys(("holds", "what_now", "says_now"), "computed by readiness whenever it is asked")

    class Meta:
        ordering = ["given_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["campaign", "finding"], condition=Q(withdrawn_at=None), name="one_waiver_a_finding"
            )
        ]

    @property
    def place(self) -> str:
        """Of what it is, with the number that the shot has now."""
        return self.what_now or self.what

    @property
    def sentence(self) -> str:
        """What was waived, with the number that the shot has now."""
        return self.says_now or self.says

    def __str__(self) -> str:
        return f"{self.typed_name}: {self.what}"
