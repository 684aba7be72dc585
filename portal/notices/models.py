"""Notices: what a member is told by mail, once, and how they want to be told."""

from typing import ClassVar

from django.db import models
from django.db.models import Q

from portal.people.models import Member, User


class Notice(models.Model):
    """One member told of one act. The row is the truth: what is sent or settled is never sent again.

    A mail takes rows by a claim, which runs out where its worker died; `mail` then makes the next one the same mail.
    """

    member = models.ForeignKey(Member, models.CASCADE, related_name="notices")
    # The act's number in the campaign's log.
    sequence = models.PositiveIntegerField()
    # What kind of telling it is: a key of portal.notices.kinds.
    kind = models.CharField(max_length=24)
    # What it is about, as the log has it, or a thread of talk: by this it is settled.
    subject = models.CharField(max_length=40, blank=True)
    # Whether it waits for this member, or is only good to know.
    waits = models.BooleanField(default=False)
    # Path and fragment of the page where it is seen, below the portal's address.
    link = models.CharField(max_length=300)
    made_at = models.DateTimeField()
    # When a mail last took it, while that has neither gone nor been given back.
    claimed_at = models.DateTimeField(null=True, blank=True)
    # Which mail took it first, SHA-256: it goes in no other, and that mail's Message-ID is drawn from it.
    mail = models.CharField(max_length=64, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    # Answered, withdrawn, not wanted, or no longer theirs to read: nothing is to be sent any more.
    settled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["sequence", "pk"]
        constraints = [models.UniqueConstraint(fields=["member", "sequence"], name="told_once")]
        indexes = [
            models.Index(fields=["member", "made_at"], condition=Q(sent_at=None, settled_at=None), name="notice_open"),
            models.Index(fields=["member", "kind", "subject"], name="notice_subject"),
        ]

    def __str__(self) -> str:
        return f"{self.member}, {self.kind}, entry {self.sequence}"


class Wish(models.Model):
    """How somebody wants to be told: of one campaign, or of every one that has no wish of its own."""

    class How(models.TextChoices):
        AT_ONCE = "at-once", "At once"
        DAILY = "daily", "Once a day"
        WAITS = "waits", "Only what waits for me"
        NONE = "none", "Not at all"

    how = models.CharField(max_length=8, choices=How.choices, default=How.AT_ONCE)
    # Full hour of the day, 0 to 23, for who is told once a day.
    hour = models.PositiveSmallIntegerField(default=8)

    class Meta:
        abstract = True


class PersonWish(Wish):
    """A person's own default, for all campaigns; `time_zone` is empty where the portal's is meant."""

    user = models.OneToOneField(User, models.CASCADE, related_name="notice_wish")

    untold: ClassVar = {"*": "how one person wants to be told; a link in a mail sets it without an act"}
    time_zone = models.CharField(max_length=64, blank=True)

    def __str__(self) -> str:
        return f"{self.user}: {self.how}"


class MemberWish(Wish):
    """A member's wish for one campaign."""

    member = models.OneToOneField(Member, models.CASCADE, related_name="notice_wish")

    untold: ClassVar = {"*": "how one person wants to be told; a link in a mail sets it without an act"}

    def __str__(self) -> str:
        return f"{self.member}: {self.how}"
