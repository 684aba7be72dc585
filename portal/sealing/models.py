"""What cannot be altered: sign-offs, what became of versions, and the campaign's log."""

from typing import ClassVar

from django.db import models

from portal.brief.models import Campaign, Version
from portal.people.models import Member
from portal.rows import Row


class SignOff(Row):
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
    # SHA-256 of the digests of the rows that the act wrote (portal/record/rows.py); empty where it wrote none.
    rows = models.CharField(max_length=64, blank=True, default="")
    before = models.CharField(max_length=64)
    digest = models.CharField(max_length=64)

    class Meta:
        ordering = ["campaign", "sequence"]
        constraints = [models.UniqueConstraint(fields=["campaign", "sequence"], name="one_entry_a_sequence")]

    def __str__(self) -> str:
        return f"{self.sequence} {self.act}"


class RowDigest(models.Model):
    """What a row was after the act of one entry; the newest of a row says what it must be now. Never altered."""

    campaign = models.ForeignKey(Campaign, models.CASCADE, related_name="row_digests")
    # Number of the entry in the campaign's log, which vouches for all of its digests together.
    sequence = models.PositiveIntegerField()
    # Its table, such as "shots.prop".
    kind = models.CharField(max_length=40)
    # What the row is called for good, here and in every archive: portal/sealing/told_rows.py.
    called = models.CharField(max_length=40)
    # Empty where the act took the row out.
    digest = models.CharField(max_length=64, blank=True)

    untold: ClassVar = {"*": "proven by the entries of the log"}

    class Meta:
        ordering = ["campaign", "sequence", "kind", "called"]
        constraints = [
            models.UniqueConstraint(
                fields=["campaign", "kind", "called", "sequence"], name="one_digest_a_row_and_entry"
            )
        ]
        indexes = [models.Index(fields=["campaign", "sequence"], name="row_digests_of_an_entry")]

    def __str__(self) -> str:
        return f"{self.kind} {self.called} after entry {self.sequence}"
