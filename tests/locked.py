"""A campaign whose brief is locked, for tests of what comes after the lock."""

from django.utils import timezone

from portal.brief import sections
from portal.models import Campaign, Member, Version
from portal.record.canonical import canonical, section_digests, version_digest


def lock(by: Member, *, signers: list[Member]) -> Version:
    """Lock the brief as it stands, whatever readiness says of it; without the acts of signing and their log."""
    document = sections.assemble(by.campaign)
    digests = section_digests(document)
    version = Version.objects.create(
        campaign=by.campaign,
        number=by.campaign.versions.count() + 1,
        document=canonical(document).decode(),
        sections=digests,
        digest=version_digest(digests),
        signers=[signer.key for signer in signers],
        put_forward_by=by,
        put_forward_at=timezone.now(),
    )
    Campaign.objects.filter(pk=by.campaign_id).update(locked_version=version, open_version=None)
    by.campaign.locked_version = version
    return version
