"""Whose signatures a person's campaigns wait for, for all of them at once."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from portal import access
from portal.access import May
from portal.delegation import queries as delegation
from portal.people.models import Member
from portal.sealing.models import SignOff


@dataclass(frozen=True)
class Signature:
    """What the version that is out wants of one member.

    `own`: their signature is awaited, `early`: but the agency's come before it; `given`: they, or somebody in their
    place, have answered. `others`: names of those in whose place they are to sign now.
    """

    own: bool = False
    early: bool = False
    given: bool = False
    others: tuple[str, ...] = ()


def signatures(seats: Sequence[Member]) -> dict[int, Signature]:
    """By the member's primary key, for seats whose campaigns and versions are loaded; three queries, however many."""
    out = [seat for seat in seats if seat.campaign.open_version]
    versions = [seat.campaign.open_version_id for seat in out]
    rows = SignOff.objects.filter(version__in=versions) if out else SignOff.objects.none()
    answered = {(version, key) for version, key in rows.values_list("version_id", "member__key")}
    first = _signing_first([seat for seat in out if seat.campaign.sign_in_order])
    places: dict[int, list[Member]] = {}
    for one in delegation.held_by(out) if out else ():
        places.setdefault(one.delegate_id, []).append(one.signer)
    found = {seat.pk: Signature() for seat in seats}
    for seat in out:
        found[seat.pk] = _signature(seat, answered, first, places.get(seat.pk, []))
    return found


def _signature(
    seat: Member, answered: set[tuple[int, str]], first: dict[int, set[str]], places: Iterable[Member]
) -> Signature:
    version = seat.campaign.open_version
    assert version is not None  # noqa: S101  the caller looked

    def awaited(signer: Member) -> bool:
        asked = signer.key in version.signers and access.may(signer, May.SIGN_OFF)
        return asked and (version.pk, signer.key) not in answered

    def early(signer: Member) -> bool:
        waits = access.side_that_signs_before(signer.role) is not None
        ahead = first.get(seat.campaign_id, set()) & set(version.signers)
        return waits and any((version.pk, key) not in answered for key in ahead)

    return Signature(
        own=awaited(seat),
        early=awaited(seat) and early(seat),
        given=(version.pk, seat.key) in answered,
        others=tuple(str(one.user) for one in places if awaited(one) and not early(one)),
    )


def _signing_first(seats: Iterable[Member]) -> dict[int, set[str]]:
    """By campaign: keys of the members whose signatures come before those of some other side."""
    roles = [role for role in access.Role if _comes_first(role)]
    campaigns = [seat.campaign_id for seat in seats]
    found: dict[int, set[str]] = {}
    if campaigns:
        rows = Member.objects.filter(campaign__in=campaigns, role__in=roles)
        for campaign, key in rows.values_list("campaign_id", "key"):
            found.setdefault(campaign, set()).add(key)
    return found


def _comes_first(role: access.Role) -> bool:
    return any(access.side_that_signs_before(other) == access.side_of(role) for other in access.Role)
