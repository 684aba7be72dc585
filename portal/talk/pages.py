"""Threads on one subject, as a page and as a fragment under its picture; and all talk of the campaign."""

from typing import Any

from django.core.paginator import Paginator
from django.http import Http404, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.text import capfirst

from portal.access import May
from portal.brief import once
from portal.pages import CampaignRequest, page, show, wants_part
from portal.site.sentences import Clause, count, sentence, told
from portal.talk import actions, queries, subjects
from portal.talk.forms import AnswerForm, CommentForm
from portal.talk.models import Comment

THREAD = "portal/talk/thread.html"
A_PAGE = 40
_GONE = "a {} that is no longer in the brief"


@page(May.COMMENT, "GET", "HEAD", "POST")
def thread(request: CampaignRequest, kind: str, key: str) -> HttpResponse:
    """What was said about one thing, and a form to say more."""
    subject = _subject(request, kind, key)
    form = CommentForm(request.member, request.POST or None, prefix_id=f"{kind}_{key}")
    if request.method == "POST":
        if not form.is_valid():
            return _show(request, kind, key, subject, form=form, status=422)
        told = {name: form.cleaned_data[name] for name in ("text", "audience", "pin")}
        written = actions.comment(request.member, kind=kind, key=key, once=once.digest_of(request), **told)
        if not wants_part(request):
            return _to(request, written)
        form = CommentForm(request.member, prefix_id=f"{kind}_{key}")
    return _show(request, kind, key, subject, form=form)


@page(May.COMMENT, "POST")
def answer(request: CampaignRequest, comment: str) -> HttpResponse:
    """An answer in a thread."""
    first = _first(request, comment)
    form = AnswerForm(request.POST, auto_id=f"id_{first.key}_%s")
    if form.is_valid():
        written = actions.answer(
            request.member, first.key, text=form.cleaned_data["text"], once=once.digest_of(request)
        )
        return _after(request, first, written)
    kind, _, key = first.subject.partition("/")
    subject = subjects.many(request.member.campaign, [first.subject]).get(first.subject)
    return _show(request, kind, key, subject, refused={first.key: form}, status=422)


@page(May.COMMENT, "POST")
def resolve(request: CampaignRequest, comment: str) -> HttpResponse:
    """Say that a thread is settled."""
    first = _first(request, comment)
    return _after(request, first, actions.resolve(request.member, first.key))


@page(May.COMMENT, "POST")
def reopen(request: CampaignRequest, comment: str) -> HttpResponse:
    """Say that a thread is not settled after all."""
    first = _first(request, comment)
    return _after(request, first, actions.reopen(request.member, first.key))


@page(May.COMMENT)
def talk(request: CampaignRequest) -> HttpResponse:
    """All talk that this reader may read, by subject; `?show=resolved` shows what is settled."""
    resolved = request.GET.get("show") == "resolved"
    firsts = queries.visible(request.member).threads().filter(resolved_at__isnull=not resolved)
    here = Paginator(firsts.order_by("-written_at", "-pk"), A_PAGE).get_page(request.GET.get("page"))
    threads = queries.threads_from(request.member, here)
    named = subjects.many(request.member.campaign, {t.first.subject for t in threads})
    groups: dict[str, list[queries.Thread]] = {}
    for one in threads:
        groups.setdefault(one.first.subject, []).append(one)
    rows = [_group(request, subject, named.get(subject), found) for subject, found in groups.items()]
    lead_words = _all_words(here.paginator.count, resolved)
    context = {"groups": rows, "page": here, "resolved": resolved, "lead_words": lead_words}
    return show(request, "portal/talk/talk.html", context)


def _all_words(many: int, resolved: bool) -> str:
    if resolved:
        return told([Clause(many, "thread", "is resolved", "are resolved")]) or "No thread is resolved yet."
    return told([Clause(many, "comment", "is open", "are open")]) or "No comment is open."


def _group(
    request: CampaignRequest, written: str, subject: subjects.Subject | None, threads: list[queries.Thread]
) -> dict[str, Any]:
    kind, _, key = written.partition("/")
    url = reverse("portal:thread", args=[request.member.campaign.key, kind, key])
    label = subject.label if subject else _GONE.format(kind)
    _give_forms(threads, {})
    return {"label": capfirst(label), "url": url if subject else "", "threads": threads}


def _subject(request: CampaignRequest, kind: str, key: str) -> subjects.Subject:
    try:
        return subjects.one(request.member.campaign, kind, key)
    except subjects.NoSuchSubject as none:
        raise Http404 from none


def _first(request: CampaignRequest, key: str) -> Comment:
    """The comment that begins the thread; 404 also where the reader may not read it."""
    found = Comment.objects.visible_to(request.member).select_related("answers").filter(key=key).first()
    if found is None:
        raise Http404
    return found.answers or found


def _show(
    request: CampaignRequest,
    kind: str,
    key: str,
    subject: subjects.Subject | None,
    *,
    form: CommentForm | None = None,
    refused: dict[str, AnswerForm] | None = None,
    status: int = 200,
) -> HttpResponse:
    threads = queries.threads_on(request.member, subjects.written(kind, key))
    _give_forms(threads, refused or {})
    settled = [one for one in threads if one.resolved]
    context = {
        "kind": kind,
        "key": key,
        "subject": subject,
        "title": capfirst(subject.label if subject else _GONE.format(kind)),
        "label": subject.label if subject else _GONE.format(kind),
        "heading": _heading(len(threads) - len(settled)),
        "settled_words": sentence(count(len(settled), "thread") + " resolved").rstrip("."),
        "open": [one for one in threads if not one.resolved],
        "settled": settled,
        "form": form or CommentForm(request.member, prefix_id=f"{kind}_{key}"),
        "refused": next(iter((refused or {}).values()), None),
        # Where a place on the picture can be pointed at: the stage's id on the page that shows this fragment.
        "stage": request.GET.get("stage", "stage") if kind != "campaign" else "",
        "target": f"#talk-{kind}-{key}",
        "back": "thread",
    }
    return show(request, THREAD, context, fragment="thread", status=status)


def _give_forms(threads: list[queries.Thread], refused: dict[str, AnswerForm]) -> None:
    for one in threads:
        one.form = refused.get(one.first.key) or AnswerForm(auto_id=f"id_{one.first.key}_%s")


def _heading(open_threads: int) -> str:
    if not open_threads:
        return "Nothing is waiting for an answer here"
    return sentence(f"{count(open_threads, 'comment')} {'is' if open_threads == 1 else 'are'} open").rstrip(".")


def _after(request: CampaignRequest, first: Comment, last: Comment) -> HttpResponse:
    if not wants_part(request):
        return _to(request, last)
    kind, _, key = first.subject.partition("/")
    subject = subjects.many(request.member.campaign, [first.subject]).get(first.subject)
    return _show(request, kind, key, subject)


def _to(request: CampaignRequest, comment: Comment) -> HttpResponse:
    campaign = request.member.campaign.key
    kind, _, key = comment.subject.partition("/")
    from_talk = request.POST.get("back") == "talk"
    url = reverse("portal:talk", args=[campaign]) if from_talk else reverse("portal:thread", args=[campaign, kind, key])
    return HttpResponseRedirect(f"{url}#comment-{comment.key}")
