"""Who signs in a signer's place while that one is away."""

from datetime import date, timedelta

from django.db import models
from django.db.models import F, Q
from django.utils.timezone import localdate

from portal.keys import Keyed
from portal.people.models import Member

LONGEST = timedelta(days=60)


class Delegation(Keyed):
    """A signer's word that somebody else answers for them, from one day to another, both included.

    Days are those of the portal's clock. It ends early when somebody ends it, or when either of the two can no longer
    keep it; the row stays, for sign-offs were given by it.
    """

    campaign = models.ForeignKey("portal.Campaign", models.CASCADE, related_name="delegations")
    signer = models.ForeignKey(Member, models.PROTECT, related_name="delegations")
    delegate = models.ForeignKey(Member, models.PROTECT, related_name="stands_in")
    first_day = models.DateField()
    last_day = models.DateField()
    set_up_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["first_day", "pk"]
        constraints = [models.CheckConstraint(condition=Q(last_day__gte=F("first_day")), name="delegation_ends_after")]

    def __str__(self) -> str:
        return f"{self.delegate.user} for {self.signer.user}"

    @property
    def set_up_ahead(self) -> bool:
        """Whether it was set up on a day before its first."""
        return localdate(self.set_up_at) < self.first_day

    def holds_on(self, day: date) -> bool:
        return self.ended_at is None and self.first_day <= day <= self.last_day
