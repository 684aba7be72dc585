"""Any two versions beside each other, what changed since one last looked, and whether a list in hand still holds."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect

from portal import access
from portal.access import May
from portal.brief import comparing, documents, looking, sections, stamps
from portal.brief.draft import held
from portal.brief.models import Campaign, Look
from portal.files.sending import send
from portal.pages import CampaignRequest, page, show
from portal.sealing import queries as sealed
from portal.sealing.signatures import Standing

COMPARE = "portal/brief/compare.html"
DRAFT = "draft"
FEW = 12  # lines below the answer about a stamp


@page(May.READ_VERSIONS)
def compare(request: CampaignRequest) -> HttpResponse:
    """`?old=1&new=2`: two versions, or a version and "draft"; without them the newest change that there is to see."""
    member, campaign = request.member, request.member.campaign
    versions = sealed.versions(campaign)
    reads_draft = access.may(member, May.READ_DRAFT)
    names = [str(here.version.number) for here in reversed(versions)] + [DRAFT] * reads_draft
    old, new = request.GET.get("old", ""), request.GET.get("new", "")
    if DRAFT in (old, new):
        access.need(member, May.READ_DRAFT)
    if not old or not new:
        old, new = _newest_pair(campaign, names)
    if {old, new} - set(names) and names:
        raise Http404("There is no such version.")
    context: dict[str, Any] = {"names": [(name, _label(name)) for name in names], "old": old, "new": new}
    if len(names) < 2:
        return show(
            request, COMPARE, context | {"lead_words": "There is nothing yet to compare: one version is needed."}
        )
    before, after = (_document(campaign, versions, name) for name in (old, new))
    found = comparing.compare(member, before.document, after.document)
    context |= {
        "title": _title(old, new),
        "lead_words": found.says,
        "found": found,
        "unseen": comparing.unseen(before.document, after.document),
        "identical": before.digest == after.digest,
        "labels": (_label(old), _label(new)),
    }
    return show(request, COMPARE, context)


def _newest_pair(campaign: Campaign, names: list[str]) -> tuple[str, str]:
    """The draft against the newest version while it is open, else the two newest versions."""
    closed = campaign.open_version_id or (campaign.locked_version_id and not held(campaign).opened)
    choice = [name for name in names if name != DRAFT] if closed and len(names) > 2 else names
    return (choice[-2], choice[-1]) if len(choice) > 1 else ("", "")


def _label(name: str) -> str:
    return "The draft" if name == DRAFT else f"Version {name}"


def _title(old: str, new: str) -> str:
    if DRAFT not in (old, new):
        return f"Versions {old} and {new}"
    return f"{_label(old)} and {_label(new)[0].lower()}{_label(new)[1:]}"


def _document(campaign: Campaign, versions: list[Standing], name: str) -> documents.Brief:
    if name == DRAFT:
        return documents.draft_of(campaign)
    here = next(here for here in versions if str(here.version.number) == name)
    return documents.of_version(here.version, campaign, state=here.state)


@page(May.READ_VERSIONS, "GET", "HEAD", "POST")
def since(request: CampaignRequest) -> HttpResponse:
    """What changed since this member last looked; sending it says that it has been seen, and starts anew from here."""
    member = request.member
    brief = looking.newest(member)
    look = Look.objects.filter(member=member).first()
    if request.method == "POST":
        if brief is None or request.POST.get("digest") != brief.digest:
            messages.warning(request, "The brief has changed again while you were reading. Here is what is new.")
            return redirect("portal:since", campaign=member.campaign.key)
        looking.keep(member, brief)
        messages.success(request, "From here on you are told what is new.")
        return redirect("portal:campaign", campaign=member.campaign.key)
    context: dict[str, Any] = {"brief": brief, "look": look}
    if brief and look:
        found = comparing.compare(member, looking.seen(look), brief.document)
        says = found.says if found.parts else "Nothing in it differs from what you last looked at."
        context |= {"found": found, "lead_words": says}
    return show(request, "portal/brief/since.html", context)


@page(May.READ_VERSIONS)
def check(request: CampaignRequest, stamp: str = "") -> HttpResponse:
    """Whether a list in hand is still the locked version, by its stamp as typed (`?stamp=`) or scanned; what moved."""
    member, campaign = request.member, request.member.campaign
    typed = stamp.replace("-", " ") if stamp else request.GET.get("stamp", "")
    context: dict[str, Any] = {"typed": typed, "needed": stamps.NEEDED}
    if typed:
        versions = sealed.versions(campaign)
        open_to_edits = not campaign.open_version_id and (not campaign.locked_version_id or held(campaign).opened)
        draft = documents.draft_of(campaign) if access.may(member, May.READ_DRAFT) and open_to_edits else None
        answer = stamps.look_up(typed, versions, draft).opened(_opened(request))
        context |= {"answer": answer} | _moved_since(request, answer, versions, draft)
    return show(request, "portal/brief/check.html", context)


def _opened(request: CampaignRequest) -> str:
    """What accepted changes have opened since the lock, as a sentence; what it is, for who may read the draft."""
    here = held(request.member.campaign)
    if not here.places:
        return ""
    if access.may(request.member, May.READ_DRAFT):
        return f"Since then {here.says_opened}: what it says there may move, until a next version is signed."
    return "Since then a change has opened part of it: ask the producer what may move, until a next version is signed."


def _moved_since(
    request: CampaignRequest, answer: stamps.Answer, versions: list[Standing], draft: documents.Brief | None
) -> dict[str, Any]:
    """What has moved between the version in hand and the one that holds, or the newest that the reader may read."""
    if answer.of is None or answer.holds:
        return {}
    holds = next((here for here in versions if here.state == "locked"), None)
    newest = holds or versions[0]
    campaign, mine = request.member.campaign, answer.of.version.number
    if holds is None and draft:
        after, name = draft, DRAFT
    else:
        after, name = documents.of_version(newest.version, campaign), str(newest.version.number)
    if name == str(mine):
        return {}
    before = documents.of_version(answer.of.version, campaign, state=answer.of.state)
    found = comparing.compare(request.member, before.document, after.document)
    lines = [(part, shown.line) for part in found.parts for shown in part.lines]
    few = lines[:FEW]
    return {
        "found": found,
        "few": few,
        "more": len(lines) - len(few),
        "mine": mine,
        "name": name,
        "label": _label(name),
    }


@page(May.READ_VERSIONS)
def picture(request: CampaignRequest, section: str, sha256: str) -> HttpResponse:
    """A copy of a file that a section names; without the draft, only of one that a version names."""
    member, campaign = request.member, request.member.campaign
    known = {one.name: one for one in sections.sections() if access.may(member, one.read)}
    if section not in known:
        raise Http404
    if not access.may(member, May.READ_DRAFT) and not looking.in_a_version(campaign, section, sha256):
        raise Http404
    found = known[section].pictures(campaign, [sha256]).get(sha256)
    if found is None:
        raise Http404("This picture is not there, or not yet.")
    return send(request, found.path, type=found.type, etag=f"{sha256[:32]}-{found.width}")
