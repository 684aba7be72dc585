"""What cannot be altered: sign-offs, what became of versions, and the campaign's log."""

from django.db import models

from portal.brief.models import Campaign, Version
from portal.people.models import Member


class SignOff(models.Model):
    """A signer's answer to one version: person, time, digest, typed name, what they could read, why they decline."""

    class Answer(models.TextChoices):
        SIGNED = "signed", "Signed"
        DECLINED = "declined", "Declined"

    version = models.ForeignKey(Version, models.PROTECT, related_name="sign_offs")
    member = models.ForeignKey(Member, models.PROTECT, related_name="+")
    answer = models.CharField(max_length=10, choices=Answer.choices)
    digest = models.CharField(max_length=64)
    typed_name = models.CharField(max_length=120)
    reason = models.TextField(blank=True)
    # Section to digest: what whoever answered could read. Empty for answers from before this was kept.
    sections = models.JSONField(default=dict)
    # Who answered in the signer's place while that one was away; empty where the signer did.
    given_by = models.ForeignKey(Member, models.PROTECT, null=True, blank=True, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "pk"]
        constraints = [models.UniqueConstraint(fields=["version", "member"], name="one_answer_a_signer")]

    def __str__(self) -> str:
        return f"{self.member} {self.answer} {self.version}"


class LogEntry(models.Model):
    """One act in a campaign; `digest` covers all fields and the digest before it (portal/record/chain.py)."""

    campaign = models.ForeignKey(Campaign, models.CASCADE, related_name="log")
    sequence = models.PositiveIntegerField()
    at = models.DateTimeField()
    # Key and name as they were: an entry must read the same after a person changes their name.
    actor = models.CharField(max_length=12, blank=True)
    actor_name = models.CharField(max_length=160)
    act = models.CharField(max_length=60)
    subject = models.CharField(max_length=60, blank=True)
    payload = models.JSONField(default=dict)
    # Comments for one side make entries that only that side may read.
    audience = models.CharField(max_length=10, default="everyone")
    before = models.CharField(max_length=64)
    digest = models.CharField(max_length=64)

    class Meta:
        ordering = ["campaign", "sequence"]
        constraints = [models.UniqueConstraint(fields=["campaign", "sequence"], name="one_entry_a_sequence")]

    def __str__(self) -> str:
        return f"{self.sequence} {self.act}"
