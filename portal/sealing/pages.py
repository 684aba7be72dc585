"""Putting forward, withdrawing, signing, declining; and the log."""

from dataclasses import replace
from typing import Any, cast

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.cache import patch_cache_control
from django.utils.http import content_disposition_header
from django.utils.timezone import localdate

from portal import access
from portal.access import May
from portal.brief import actions as brief
from portal.brief import documents, reading, sections, stands, wording
from portal.brief.campaign_section import people
from portal.brief.draft import BriefClosed, forward_closed_because
from portal.brief.finding import Finding
from portal.brief.forms import PutForwardForm, WithdrawForm
from portal.brief.models import Version
from portal.changes import queries as changes
from portal.changes import scope
from portal.pages import CampaignRequest, page, show
from portal.people.models import Member
from portal.sealing import actions, log_queries, queries, story, words
from portal.sealing.forms import DeclineForm, SignForm, answering, form_id
from portal.sealing.signatures import Place, Standing
from portal.site.sentences import count, digest_groups, joined
from portal.talk import subjects
from portal.waivers import queries as waivers

PUT_FORWARD = "portal/sealing/put_forward.html"
SIGN = "portal/sealing/sign.html"
A_PAGE = 60
SHOWN = 40


@page(May.PUT_FORWARD, "GET", "HEAD", "POST")
def put_forward(request: CampaignRequest) -> HttpResponse:
    """What still hinders it, or the form; a second click on the same draft finds the version that the first made."""
    campaign = request.member.campaign
    if request.method == "POST":
        form = PutForwardForm(request.POST)
        if not form.is_valid():
            return show(request, PUT_FORWARD, _put_forward(request, form), status=422)
        made = _put_before(request, form)
        try:
            made = made or brief.put_forward(request.member, **form.cleaned_data)
        except BriefClosed:
            made = _put_before(request, form)  # the other click may have come first by a moment
            if made is None:
                raise
        messages.success(request, f"Version {made.number} is put forward.")
        return redirect("portal:campaign", campaign=campaign.key)
    if reason := forward_closed_because(campaign):
        raise BriefClosed(reason)
    return show(request, PUT_FORWARD, _put_forward(request))


def _put_before(request: CampaignRequest, form: PutForwardForm) -> Version | None:
    """The version that this very form has made already: by this reader, of the draft that they read, of that number."""
    number, digest = form.cleaned_data["number"], form.cleaned_data["digest"]
    made = request.member.campaign.versions.filter(digest=digest, put_forward_by=request.member).order_by("-number")
    if number is None:
        return made.filter(pk=request.member.campaign.open_version_id or 0).first()
    return made.filter(number=number).first()


def _put_forward(request: CampaignRequest, form: PutForwardForm | None = None) -> dict[str, Any]:
    campaign = reading.begin(request.member.campaign)
    found = sections.findings(campaign)
    waivers.keep_what_holds(campaign, found)
    must = [finding for finding in found if finding.level == "must-fix"]
    put = campaign.versions.count()
    leading = [replace(finding, url=finding.place(request.member.role)) for finding in found]
    context = {
        "title": f"Put version {put + 1} forward",
        "lead_words": _may_go(must),
        "must": stands.lines(must[:SHOWN], request.member, people(campaign)),
        "more": max(len(must) - SHOWN, 0),
        "look": [one for one in leading if one.level == "worth-a-look"][:SHOWN],
        "waived": [one for one in leading if one.waiver],
        "lapsed": wording.lapsed(len(waivers.lapsed(campaign))),
        "rounds": wording.rounds(put, campaign.rounds_included),
        "past": wording.past_rounds(put, campaign.rounds_included, _price(request.member)),
    }
    if must:
        return context
    draft = documents.draft_of(campaign)
    if refusal := scope.refusal(campaign, draft.document):
        return context | {"lead_words": "It cannot go yet.", "refusal": refusal}
    signers = joined([signer["name"] for signer in draft.document["campaign"]["signers"]])
    form = form or PutForwardForm(initial={"digest": draft.digest, "number": put + 1})
    cites = list(changes.to_cite(campaign)) if campaign.locked_version_id else []
    return context | {"form": form, "brief": draft, "signer_words": signers, "cites": cites}


def _price(member: Member) -> str:
    """What a further round costs, for who may see the estimate."""
    return member.campaign.round_price if access.may(member, May.SEE_ESTIMATE) else ""


def _may_go(must: list[Finding]) -> str:
    if must:
        return f"It cannot go yet: {count(len(must), 'thing')} {'stands' if len(must) == 1 else 'stand'} in its way."
    return "Nothing stands in its way."


@page(May.PUT_FORWARD, "GET", "HEAD", "POST")
def withdraw(request: CampaignRequest, number: int) -> HttpResponse:
    """Take back the version that is out, with a reason."""
    version = _version(request, number)
    form = WithdrawForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            brief.withdraw(request.member, number=number, **form.cleaned_data)
        except BriefClosed:
            if not queries.withdrawn_so(version, request.member, form.cleaned_data["reason"]):
                raise  # else it is the same click again
        messages.success(request, f"Version {number} is withdrawn. The brief can be edited again.")
        return redirect("portal:campaign", campaign=request.member.campaign.key)
    status = 422 if request.method == "POST" else 200
    return show(request, "portal/sealing/withdraw.html", {"form": form, "version": version}, status=status)


@page(May.SIGN_OFF, "GET", "HEAD", "POST")
def sign(request: CampaignRequest, number: int) -> HttpResponse:
    """Read what is to be signed, and sign it."""
    return _answer_page(request, number, request.member.key, SignForm)


@page(May.SIGN_OFF, "GET", "HEAD", "POST")
def decline(request: CampaignRequest, number: int) -> HttpResponse:
    """Decline the version that is out, with what would have to change."""
    return _answer_page(request, number, request.member.key, DeclineForm)


@page(May.READ_VERSIONS, "GET", "HEAD", "POST")
def sign_for(request: CampaignRequest, number: int, key: str) -> HttpResponse:
    """Sign in the place of the signer with this key, who has asked this reader to."""
    return _answer_page(request, number, key, SignForm)


@page(May.READ_VERSIONS, "GET", "HEAD", "POST")
def decline_for(request: CampaignRequest, number: int, key: str) -> HttpResponse:
    """Decline in the place of the signer with this key."""
    return _answer_page(request, number, key, DeclineForm)


def _answer_page(request: CampaignRequest, number: int, key: str, kind: type[SignForm]) -> HttpResponse:
    version = _version(request, number)
    signer = actions.signer_for(request.member, key)
    word = "decline" if kind is DeclineForm else "sign"
    form = kind(request.POST or None, initial={"digest": version.digest}, auto_id=form_id(word, key))
    if request.method == "POST" and form.is_valid() and _given(request, form, version, key):
        whose = "" if signer.pk == request.member.pk else f" for {signer.user}"
        messages.success(request, _done(request, version, word, whose))
        return redirect("portal:campaign", campaign=request.member.campaign.key)
    return _signing(request, version, key, form)


def _done(request: CampaignRequest, version: Version, word: str, whose: str) -> str:
    if word == "decline":
        return f"You have declined version {version.number}{whose}. The brief can be edited again."
    request.member.campaign.refresh_from_db(fields=["locked_version"])
    locked = request.member.campaign.locked_version_id == version.pk
    it_is = f" It is locked with {'that' if whose else 'your'} signature." if locked else ""
    return f"You have signed version {version.number}{whose}.{it_is}"


def _given(request: CampaignRequest, form: SignForm, version: Version, signer: str) -> bool:
    """Give the answer; True when it stands. The same answer twice, as by a double click, is one."""
    declines = isinstance(form, DeclineForm)
    act, answer = (actions.decline, "declined") if declines else (actions.sign, "signed")
    try:
        act(request.member, number=version.number, signer=signer, **form.cleaned_data)
    except ValidationError as refused:
        form.add_error(None, refused)
        return False
    except BriefClosed:
        given = queries.answer_of(signer, version, request.member)
        if given is None or (given.answer, given.digest) != (answer, form.cleaned_data["digest"]):
            raise
    return True


def _signing(request: CampaignRequest, version: Version, key: str, sent: SignForm) -> HttpResponse:
    member = request.member
    here = queries.standing_of(version, member.campaign, member)
    places = [place for place in queries.places(here, member) if place.signer.key == key]
    asked = any(place.in_turn for place in places)
    refused = sent if sent.is_bound else None
    context = {
        "version": version,
        "here": here,
        "asked": asked,
        "title": f"Sign version {version.number}" if asked else f"Version {version.number}",
        "lead_words": _what_to_sign(here, places),
        "digest_groups": digest_groups(version.digest),
        "answering": answering(version, member.campaign, places, key=key, sent=refused),
    }
    return show(request, SIGN, context, status=422 if request.method == "POST" else 200)


def _what_to_sign(here: Standing, places: list[Place]) -> str:
    if not places:
        return f"You have nothing to sign here. {wording.what_became(here)}"
    if not places[0].in_turn:
        return f"{places[0].says} It can be declined at once."
    return f"{places[0].says} Read it first: you sign all of it that you may read."


def _version(request: CampaignRequest, number: int) -> Version:
    return get_object_or_404(request.member.campaign.versions.select_related("put_forward_by__user"), number=number)


@page(May.READ_VERSIONS)
def log(request: CampaignRequest) -> HttpResponse:
    """The story as this reader may read it, newest first; `?who=` of one member by number, `?topic=` of one topic."""
    member, campaign = request.member, request.member.campaign
    who, topic = request.GET.get("who", ""), request.GET.get("topic", "")
    # By their place in the campaign, in which nobody ever loses their row: keys of people stay on the page of people.
    members = {str(at): one for at, one in enumerate(campaign.members.select_related("user"), start=1)}
    topics = [(name, label) for name, (label, _) in log_queries.TOPICS.items()] + [("other", "Other")]
    who, topic = who if who in members else "", topic if topic in dict(topics) else ""
    pages = Paginator(log_queries.log_for(member, who=members[who].key if who else "", topic=topic), A_PAGE)
    here = pages.get_page(request.GET.get("page"))
    named = subjects.many(request.member.campaign, {entry.subject for entry in here})
    entries = [
        {"at": e.at, "day": localdate(e.at), "says": words.say(e, named), "url": _url(e.subject, named)} for e in here
    ]
    people = [(at, str(one)) for at, one in members.items()]
    context = {"page": here, "entries": entries, "people": people, "who": who, "topics": topics, "topic": topic}
    return show(request, "portal/sealing/log.html", context)


@page(May.READ_DRAFT)
def log_file(request: CampaignRequest) -> HttpResponse:
    """The log as JSON Lines, as this reader may read it: whole and to be proven, or a part that says that it is one."""
    answer = StreamingHttpResponse(story.lines(request.member), content_type="application/jsonl; charset=utf-8")
    name = f"{request.member.campaign.code} log.jsonl"
    answer["Content-Disposition"] = content_disposition_header(True, name) or "attachment"
    answer["X-Content-Type-Options"] = "nosniff"
    patch_cache_control(answer, private=True, no_store=True)
    return cast(HttpResponse, answer)  # what a view returns, also when it streams


def _url(subject: str, named: dict[str, subjects.Subject]) -> str:
    return named[subject].url if subject in named else ""
