"""Role answers: who does each job on the shoot, or why nobody is needed for it."""

import hashlib

from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower

from portal.access import Role, Side, side_of
from portal.keys import Keyed
from portal.models import Campaign, Member

# The trade's roles of the crew, in the table's order; each must be answered before the lock.
CREW = tuple(role for role in Role if side_of(role) == Side.CREW)


class RoleAnswer(Keyed):
    """The answer for one role of the crew, or for one that this job needs besides (`title`: "Home economist").

    A role in which somebody works on the campaign needs no row: whoever is there answers it.
    """

    class Answer(models.TextChoices):
        OPEN = "open", "not answered"
        NAMED = "named", "named"
        COVERED = "covered", "covered by another"
        NOT_NEEDED = "not-needed", "not needed"

    campaign = models.ForeignKey(Campaign, models.CASCADE, related_name="role_answers")
    # Empty for a role that is added by hand; then it has a title.
    role = models.CharField(max_length=20, choices=[(role, role.label) for role in CREW], blank=True)
    title = models.CharField("role", max_length=60, blank=True)
    answer = models.CharField(max_length=10, choices=Answer.choices, default=Answer.OPEN)
    # Who is named: somebody in the campaign, or by name.
    member = models.ForeignKey(Member, models.PROTECT, null=True, blank=True, related_name="+")
    name = models.CharField("name", max_length=120, blank=True)
    # Personal data of somebody outside: on the page for who may read the draft, never in the document or the log.
    contact = models.CharField("how to reach them", max_length=200, blank=True)
    # A role of the crew, or another answer's key.
    covered_by = models.CharField("covered by", max_length=20, blank=True)
    agreed_by = models.CharField("agreed by", max_length=120, blank=True)
    reason = models.CharField("why", max_length=300, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["campaign", "role"], condition=~Q(role=""), name="one_answer_a_role"),
            models.UniqueConstraint("campaign", Lower("title"), condition=Q(role=""), name="one_role_a_title"),
        ]

    def __str__(self) -> str:
        return self.title or self.get_role_display()

    @property
    def mark(self) -> str:
        """Changes with the answer: a form carries it, so that nobody overwrites what they have not seen."""
        said = (self.answer, self.member_id, self.name, self.contact, self.covered_by, self.agreed_by, self.reason)
        return hashlib.sha256("\x1f".join(map(str, said)).encode()).hexdigest()[:16]
