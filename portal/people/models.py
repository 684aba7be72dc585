"""People: accounts, members of campaigns, invitations."""

import secrets
from datetime import datetime, timedelta
from typing import ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models import Q
from django.utils import timezone

from portal.access import Role, Side, side_of
from portal.keys import Keyed
from portal.rows import RowQuerySet


class UserManager(BaseUserManager["User"]):
    def create_user(self, email: str, name: str = "", password: str | None = None, **fields: object) -> "User":
        user = self.model(email=email.strip().lower(), name=name, **fields)
        user.set_password(password)
        user.save(using=self._db)
        return user

    def get_by_natural_key(self, username: str | None) -> "User":
        return self.get(email__iexact=username)


class User(AbstractBaseUser):
    """An account: one person, one e-mail address."""

    email = models.EmailField("e-mail", unique=True)
    name = models.CharField("name", max_length=120, blank=True)
    is_active = models.BooleanField(default=True)
    starts_campaigns = models.BooleanField("may start campaigns", default=False)
    joined_at = models.DateTimeField(auto_now_add=True)

    objects: ClassVar[UserManager] = UserManager()
    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"

    def __str__(self) -> str:
        return self.name or self.email


class MemberQuerySet(RowQuerySet["Member"]):
    def active(self) -> "MemberQuerySet":
        return self.filter(left_at=None)


def new_salt() -> str:
    return secrets.token_hex(16)


class Member(Keyed):
    """A person in a campaign, with a role; a former member keeps the row, for the log's sake."""

    campaign = models.ForeignKey("portal.Campaign", models.CASCADE, related_name="members")
    user = models.ForeignKey(User, models.PROTECT, related_name="members")
    role = models.CharField(max_length=20, choices=Role.choices)
    may_sign = models.BooleanField(default=False)
    # Whoever started the campaign; it widens whom they may invite (access.invitable_roles).
    started = models.BooleanField(default=False)
    # Stays on this row and out of the log: see account_proof.py.
    account_salt = models.CharField(max_length=32, default=new_salt, editable=False)
    joined_at = models.DateTimeField(auto_now_add=True)
    left_at = models.DateTimeField(null=True, blank=True)

    objects = MemberQuerySet.as_manager()  # type: ignore[misc]  # the plugin takes the base's for a class variable
    untold: ClassVar = {"user": "proven by the account's digest in the log, as accounts are the portal's"}

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["campaign", "user"], condition=Q(left_at=None), name="one_seat_a_person")
        ]
        ordering = ["joined_at", "pk"]

    def __str__(self) -> str:
        return f"{self.user} ({self.get_role_display()})"

    @property
    def side(self) -> Side:
        return side_of(self.role)


INVITATION_LASTS = timedelta(days=14)


def new_token() -> str:
    return secrets.token_urlsafe(32)


class Invitation(Keyed):
    """An invitation by e-mail; its token is the only way in, works once and ends after 14 days."""

    campaign = models.ForeignKey("portal.Campaign", models.CASCADE, related_name="invitations")
    email = models.EmailField()
    name = models.CharField(max_length=120, blank=True)
    role = models.CharField(max_length=20, choices=Role.choices)
    may_sign = models.BooleanField(default=False)
    token = models.CharField(max_length=64, unique=True, default=new_token)
    invited_by = models.ForeignKey(Member, models.PROTECT, related_name="+")
    sent_at = models.DateTimeField(auto_now_add=True)
    accepted_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    # The mail could not be handed over; the page of people says so and offers to send it again.
    mail_failed = models.BooleanField(default=False)

    untold: ClassVar = {
        "token": "a way in, and none of the agreement; it leaves with no archive",
        "mail_failed": "noted by the worker, and only until the mail is sent again",
    }

    class Meta:
        ordering = ["sent_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["campaign", "email"],
                condition=Q(accepted_at=None, withdrawn_at=None),
                name="one_open_invitation_an_address",
            )
        ]

    def __str__(self) -> str:
        return f"{self.email} as {self.get_role_display()}"

    @property
    def ends_at(self) -> datetime:
        """When its link stops working; sending it again starts the days anew."""
        return self.sent_at + INVITATION_LASTS

    @property
    def state(self) -> str:
        """ "open", "accepted", "withdrawn" or "ended"."""
        if self.accepted_at:
            return "accepted"
        if self.withdrawn_at:
            return "withdrawn"
        return "open" if timezone.now() < self.ends_at else "ended"
