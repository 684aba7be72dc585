"""Proving who is in a campaign, by which account and with what rights: somebody let each of them in."""

from dataclasses import dataclass

from portal.access import Role
from portal.brief.models import Campaign
from portal.people.account_proof import account_digest
from portal.people.models import Member
from portal.sealing.proof import Proof, logged
from portal.site.sentences import joined


@dataclass
class _Known:
    """What the log knows of a member: what it last said of their rights, None before it said anything."""

    role: str | None = None
    may_sign: bool | None = None
    account: str | None = None
    left: bool = False


def members(campaign: Campaign, proof: Proof) -> None:
    """Each member against what the log says of them; and those whom it knows and who are gone."""
    known, before = _known(campaign), []
    for member in Member.objects.filter(campaign=campaign).select_related("user").iterator(chunk_size=500):
        proof.members += 1
        here = known.pop(member.key, None)
        if says := _member(member, here):
            proof.note(f"member {member.user}", says)
        elif here and here.account is None:
            before.append(str(member.user))
    if before:
        who = joined(before)
        proof.remark("members", f"they came in before the log could prove which account somebody has: {who}")
    for key in known:
        proof.note("members", f"the log knows {key} as a member, and there is none")


def _known(campaign: Campaign) -> dict[str, _Known]:
    found: dict[str, _Known] = {}
    for entry in logged(campaign, "campaign.started", "member.joined", "member.changed", "member.removed"):
        key = entry.actor if entry.act == "campaign.started" else entry.subject.partition("/")[2]
        here = found.setdefault(key, _Known())
        rights = entry.payload.get("now", {}) if entry.act == "member.changed" else entry.payload
        here.role = rights.get("role", here.role)
        here.may_sign = rights.get("may_sign", here.may_sign)
        here.account = entry.payload.get("account", here.account)
        here.left = entry.act == "member.removed"
    return found


def _member(member: Member, known: _Known | None) -> str:
    """What is wrong with a member, as the end of a sentence; empty for one who is as the log has them."""
    if known is None:
        return "the log does not know how they came in"
    if known.account is not None and known.account != account_digest(member):
        return "their account is not the one that joined, as the log has it"
    if known.role is not None and member.role != known.role:
        role = Role(known.role).label.lower() if known.role in Role.values else known.role
        return f"they are {member.get_role_display().lower()}, and the log has them as {role}"
    if known.may_sign is not None and member.may_sign != known.may_sign:
        return f"they {'may' if member.may_sign else 'may not'} sign, and the log has it otherwise"
    if known.left != (member.left_at is not None):
        return "they have left, and the log knows nothing of it" if member.left_at else "the log says that they left"
    return ""
