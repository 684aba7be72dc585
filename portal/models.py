"""The portal's tables, each declared in its topic's folder."""

from portal.brief.models import Campaign, Look, Version
from portal.changes.models import Change
from portal.delegation.models import Delegation
from portal.files.models import StoredFile
from portal.notices.models import MemberWish, Notice, PersonWish
from portal.people.models import Invitation, Member, User
from portal.sealing.models import LogEntry, RowDigest, SignOff
from portal.talk.models import Comment
from portal.waivers.models import Waiver
from portal.work.models import Work

__all__ = [
    "Campaign",
    "Change",
    "Comment",
    "Delegation",
    "Invitation",
    "LogEntry",
    "Look",
    "Member",
    "MemberWish",
    "Notice",
    "PersonWish",
    "RowDigest",
    "SignOff",
    "StoredFile",
    "User",
    "Version",
    "Waiver",
    "Work",
]
