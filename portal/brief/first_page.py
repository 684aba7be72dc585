"""What "Where it stands" shows to one reader: of a draft, of a version out for signature, of a locked brief."""

from typing import Any

from django.urls import reverse

from portal import access
from portal.access import May
from portal.brief import looking, reading, sections, standing, stands, wording
from portal.brief.campaign_section import people
from portal.brief.draft import held
from portal.brief.models import Campaign, Version
from portal.changes import first as changes
from portal.people.models import Member
from portal.sealing import queries as sealed
from portal.sealing.forms import answering
from portal.sealing.signatures import Place, Standing
from portal.site.sentences import digest_groups, joined, sentence
from portal.waivers import queries as waivers

SHOWN = 8  # lines beside the lead sentence
FEW = 5  # the same for a reader of whom nothing is wanted, who came for the pictures
LISTED = 800  # lines on the whole page: it stays under 300 kB with the longest of them


def context(member: Member) -> dict[str, Any]:
    """All that the page's template needs."""
    campaign = member.campaign
    if version := campaign.open_version:
        return _sealed(member, version, "out") | {"ways": ways(member), "news": looking.news(member)}
    if version := campaign.locked_version:
        changed = changes.lines(member)
        return _sealed(member, version, "locked") | changed | {"ways": ways(member), "news": looking.news(member)}
    if not access.may(member, May.READ_DRAFT):
        # Not a word of the draft, not even how much of it there is.
        return {"state": "closed", "lead": _nothing_to_read(campaign), "ways": []}
    return _draft(member) | {"ways": ways(member), "news": looking.news(member)}


def _draft(member: Member) -> dict[str, Any]:
    campaign = reading.begin(member.campaign)
    found = sections.findings(campaign)
    standing.keep(campaign, found)
    rows = stands.lines(found, member, people(campaign), LISTED)
    levels = {finding.level for finding in found}
    return {
        "state": "draft",
        "lead": stands.joined_sentences(
            stands.lead(found), stands.waived_words(found), stands.next_step(found, member)
        ),
        "lapsed": wording.lapsed(len(waivers.lapsed(campaign))),
        "any_waived": "waived" in levels,
        "beside": _parts(rows[: SHOWN if any(row.mine and row.must for row in rows) else FEW]),
        "all": _parts(rows) if len(found) > FEW else [],
        "left_off": len(found) - len(rows),
        "count": len(found),
        "all_words": f"All {len(found)} things that are owed or worth a look",
        "clear": "must-fix" not in levels,
        "came_back": sealed.why_it_came_back(campaign),
    }


def _parts(rows: list[stands.Line]) -> list[tuple[str, list[stands.Line]]]:
    """The lines under their headings; a heading without lines is left out, but for what is owed by this reader."""
    must = [row for row in rows if row.must]
    mine, others = [row for row in must if row.mine], [row for row in must if not row.mine]
    from_others = "From others" if mine else "Nothing from you. From others"
    waived, look = [row for row in rows if row.waived], [row for row in rows if not (row.must or row.waived)]
    parts = [("From you", mine), (from_others, others), ("Waived", waived), ("Worth a look", look)]
    return [(name, lines) for name, lines in parts if lines]


def _sealed(member: Member, version: Version, state: str) -> dict[str, Any]:
    campaign = member.campaign
    here = sealed.standing_of(version, campaign, member)
    places = sealed.places(here, member)
    return {
        "state": state,
        "version": version,
        "here": here,
        "lead": _locked(here) if state == "locked" else f"{_out(here, places, member)}{_stays_locked(campaign)}",
        "asked": any(place.in_turn for place in places),
        "digest_groups": digest_groups(version.digest),
        "read_label": f"Read version {version.number}",
        "answering": answering(version, campaign, places),
        "stuck": [signer for signer in here.awaited if signer.gone],
    }


def _locked(here: Standing) -> str:
    names = joined([signer.told for signer in here.signed])
    return f"The brief is locked as version {here.version.number}, signed by {names}."


def _stays_locked(campaign: Campaign) -> str:
    """While a second version is out the first one holds, and all that leaves is drawn from it."""
    here = held(campaign)
    return "" if here.locked is None else f" Until it is signed by all, version {here.locked} holds."


def _out(here: Standing, places: list[Place], member: Member) -> str:
    """That a version is out, whether it waits for this reader, and who else has signed or is awaited."""
    version = f"Version {here.version.number}"
    mine = sorted(places, key=lambda place: not place.in_turn)[:1]
    if not mine:
        return f"{version} is out for signature. {here.says}"
    place = mine[0]
    if not place.in_turn:
        return f"{version} is out for signature. {place.says}"
    opening = place.says.replace("It", version, 1)
    signed = [signer.told for signer in here.signed]
    others = [signer.name for signer in here.awaited if signer.key not in (member.key, place.signer.key)]
    more = []
    if signed:
        more.append(f"{joined(signed)} {'has' if len(signed) == 1 else 'have'} signed")
    if others:
        more.append(f"{joined(others)} {'is' if len(others) == 1 else 'are'} awaited too")
    return f"{opening} {sentence(', and '.join(more))}" if more else opening


def _nothing_to_read(campaign: Campaign) -> str:
    if campaign.versions.exists():
        return "The brief is being worked on. Its next version is to be read here once it has been put forward."
    return "No version of this brief has been put forward yet. It is to be read here once one has."


def ways(member: Member) -> list[dict[str, str]]:
    """Where this reader's own work is done: the pages for what their role may change."""
    key = member.campaign.key
    raises = member.campaign.locked_version_id and access.may(member, May.RAISE_CHANGE)
    changing = [{"label": "Changes", "url": reverse("portal:changes", args=[key])}] if raises else []
    return changing + [
        {"label": label, "url": reverse(name, args=[key])}
        for label, name, acts in _OWN_WORK
        if any(access.may(member, act) for act in acts)
    ]


_OWN_WORK = [
    ("Layouts", "layouts:layouts", (May.UPLOAD_LAYOUTS,)),
    ("Food and props", "shots:lists", (May.EDIT_FOOD, May.EDIT_PROPS)),
    ("Shots", "shots:shots", (May.EDIT_SHOTS, May.EDIT_LIGHT, May.EDIT_CAMERA)),
    ("Roles", "shots:roles", (May.EDIT_DAYS,)),
    ("Capture plans", "layouts:captures", (May.EDIT_CAMERA,)),
    ("Terms", "portal:terms", (May.EDIT_SHOTS,)),
    ("People", "portal:people", (May.INVITE_OWN_SIDE,)),
]
