"""Which account a member is: a digest for the log, from which nobody can read or try out an address."""

from portal.people.models import Member
from portal.record.canonical import canonical, digest


def account_digest(member: Member) -> str:
    """SHA-256 of the canonical form (RFC 8785) of {"account": address, "member": key, "salt": salt}.

    The account is its e-mail address in lower case, by which the portal and every archive know it; names change. The
    salt stays on the member's row: without it, whoever holds the log cannot test whose address it is, and with it
    nobody can find another address that gives the same digest.
    """
    of = {"account": member.user.email.lower(), "member": member.key, "salt": member.account_salt}
    return digest(canonical(of))
