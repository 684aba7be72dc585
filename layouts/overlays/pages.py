"""The page of layouts: what is owed, files dropped onto it, questions, refusals; and its progress."""

from collections import Counter
from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from layouts.formats.models import Placement
from layouts.formats.queries import words
from layouts.overlays import actions, looking, queries
from layouts.overlays.models import Incoming, Layout
from portal import access
from portal.access import May
from portal.brief import once
from portal.brief.both import since
from portal.brief.both_forms import arrived, length_of
from portal.brief.draft import ANY, closed_because
from portal.models import Campaign
from portal.pages import page, show
from portal.site.sentences import Clause, count, told

NEWER = ("layout.sent", "layout.stands-again")
LAYOUTS = "layouts/overlays/layouts.html"
PLACE = "layouts/overlays/place.html"
_PLACED = ("layout__placement__shot", "layout__placement__format")
CHOOSE = "Choose a placement that is wanted, or put the file aside."


@page(May.READ_DRAFT)
def layouts(request: Any) -> HttpResponse:
    return _layouts(request)


def _layouts(
    request: Any, *, errors: Sequence[str] = (), wrong: dict[str, str] | None = None, status: int = 200
) -> HttpResponse:
    """The page. `errors`: of the files that were sent; `wrong`: a question's key and why its answer was refused."""
    campaign = request.member.campaign
    standing = queries.standing(campaign)
    shots = list(campaign.shots.all())
    by_one = standing.total > queries.ON_ONE_PAGE
    chosen = request.GET.get("shot") or _first_with_work(shots, standing)
    lines = queries.lines(campaign, shot=chosen if by_one else "")
    closed = closed_because(campaign, "layouts", ANY)
    may_send = access.may(request.member, May.UPLOAD_LAYOUTS) and not closed
    context = {
        "says": standing.says(mine=may_send),
        "told": arrived(request, NEWER, _places(here := _came(request))),
        "came": came_words(here),
        "total": standing.total,
        "shots": _shots(shots, standing, chosen) if by_one else [],
        "groups": _groups(lines),
        "open": open_of(request, [line for line in lines if line.open]),
        "questions": (asked := queries.questions(campaign, wrong)),
        "more_asked": standing.asked - len(asked),
        "choose": queries.choose(campaign) if any(one.wide_open for one in asked) else {},
        "refused": list(queries.incoming(campaign, Incoming.State.REFUSED)[:50]),
        "aside": list(queries.incoming(campaign, Incoming.State.ASIDE)[:50]),
        "closed": closed_because(campaign),
        "may_send": may_send,
        "shut": _shut(campaign) if may_send else (),
        "errors": errors,
    }
    return show(request, LAYOUTS, context, status=status)


@page(May.UPLOAD_LAYOUTS, "POST")
def send(request: Any) -> HttpResponse:
    """Take in the files that were dropped or chosen."""
    files = request.FILES.getlist("files")
    if not files:
        return _layouts(request, errors=["No file was chosen. Choose the layout files, then send them."], status=422)
    came = actions.receive_files(request.member, files=files, once=once.digest_of(request))
    # In the address, not in a message: what sends files with progress follows the redirect, and would use a message up.
    url = reverse("layouts:layouts", args=[request.member.campaign.key])
    return redirect(f"{url}?came={came[0].key}{newer(request, came)}")


@page(May.UPLOAD_LAYOUTS, "POST")
def answer(request: Any, incoming: str) -> HttpResponse:
    """Place a file that was asked about, or put it aside ("none of these")."""
    choice = _choice(request)
    if away := _dealt_with(request, incoming, Incoming.State.ASKED):
        return away
    if not choice:
        return _layouts(request, wrong={incoming: CHOOSE}, status=422)
    try:
        if choice == "aside":
            actions.set_aside(request.member, incoming)
        else:
            actions.answer_question(request.member, incoming, placement=choice)
    except (Incoming.DoesNotExist, Placement.DoesNotExist) as none:
        raise Http404 from none
    except ValidationError as refused:
        return _layouts(request, wrong={incoming: " ".join(refused.messages)}, status=422)
    return redirect("layouts:layouts", request.member.campaign.key)


def _choice(request: Any) -> str:
    """The placement that was chosen, from those offered or by shot, format and language; or "aside"; or nothing."""
    post = request.POST
    if post.get("placement") != "other":
        return str(post.get("placement", ""))
    by = {name: post.get(name, "") for name in ("shot", "format", "language")}
    return queries.chosen(request.member.campaign, **by)


@page(May.UPLOAD_LAYOUTS, "GET", "HEAD", "POST")
def place(request: Any, incoming: str) -> HttpResponse:
    """Give a file that was put aside a placement after all."""
    campaign = request.member.campaign
    if request.method == "POST" and (away := _dealt_with(request, incoming, Incoming.State.ASIDE)):
        return away
    rows = queries.incoming(campaign, Incoming.State.ASIDE).exclude(file=None)
    row = get_object_or_404(rows, key=incoming)
    context = {
        "row": row,
        "look": looking.looks([row.file]).get(row.file.sha256) if row.file else None,
        "choose": queries.choose(campaign),
        "closed": closed_because(campaign, "layouts", ANY),
    }
    if request.method != "POST":
        return show(request, PLACE, context)
    try:
        actions.place_file(request.member, incoming, placement=_choice(request))
    except Placement.DoesNotExist:
        return show(request, PLACE, context | {"error": CHOOSE}, status=422)
    except ValidationError as refused:
        return show(request, PLACE, context | {"error": " ".join(refused.messages)}, status=422)
    return redirect("layouts:layouts", campaign.key)


@page(May.UPLOAD_LAYOUTS, "POST")
def aside(request: Any, incoming: str) -> HttpResponse:
    """Take a refused file off the list."""
    if away := _dealt_with(request, incoming, Incoming.State.ASKED, Incoming.State.REFUSED):
        return away
    try:
        actions.set_aside(request.member, incoming)
    except Incoming.DoesNotExist as none:
        raise Http404 from none
    return redirect("layouts:layouts", request.member.campaign.key)


def _dealt_with(request: Any, incoming: str, *waits: str) -> HttpResponse | None:
    """Where a file waits for this no longer, the way back with what became of it: a second click, or somebody else."""
    campaign = request.member.campaign
    row = campaign.incoming.exclude(state__in=waits).select_related(*_PLACED).filter(key=incoming).first()
    if row is None:
        return None
    became = f"is with {words(row.layout.placement)}" if row.layout else f"is {row.get_state_display()}"
    messages.info(request, f"{row.name} {became}.")
    return redirect("layouts:layouts", campaign.key)


@page(May.READ_DRAFT)
def progress(request: Any) -> HttpResponse:
    """What htmx asks for while layouts are being checked: the line of progress, and the rows that have ended since."""
    campaign = request.member.campaign
    keys = request.GET.get("of", "").split(",")[:1000]
    lines = queries.lines(campaign, keys=keys)
    may_send = access.may(request.member, May.UPLOAD_LAYOUTS) and not closed_because(campaign, "layouts", ANY)
    context = {
        "ended": [line for line in lines if not line.open],
        "open": open_of(request, [line for line in lines if line.open]),
        "says": queries.standing(campaign).says(mine=may_send),
        "may_send": may_send,
        "shut": _shut(campaign) if may_send else (),
    }
    return render(request, "layouts/overlays/progress.html", context)


def _shut(campaign: Campaign) -> set[str]:
    """Keys of the shots whose layouts stay as they were signed while a change has opened those of others."""
    if not campaign.locked_version_id:
        return set()
    keys = campaign.shots.values_list("key", flat=True)
    return {key for key in keys if closed_because(campaign, "layouts", key)}


def open_of(request: Any, lines: Sequence[queries.Line]) -> dict[str, Any] | None:
    """The progress of these lines, and where to ask for more; None when nothing is open."""
    if not lines:
        return None
    keys = ",".join(line.placement.key for line in lines)
    url = reverse("layouts:layouts-progress", args=[request.member.campaign.key])
    many = len(lines) > 1
    return {
        "url": f"{url}?of={keys}",
        "says": f"{count(len(lines), 'layout').capitalize()} {'are' if many else 'is'} being checked.",
    }


def newer(request: Any, came: Sequence[Incoming]) -> str:
    """What the address carries where somebody else sent a revision for the same place while these were chosen."""
    read = length_of(request.POST)
    places = _places(came)
    return f"&since={read}" if places and read is not None and since(request.member, read, NEWER, places) else ""


def _came(request: Any) -> list[Incoming]:
    return queries.came_since(request.member, request.GET.get("came", ""))


def _places(came: Sequence[Incoming]) -> list[str]:
    """The placements in which these files became the newest revision, as the log names them."""
    placed = [row.layout_id for row in came if row.layout_id and row.state == Incoming.State.PLACED]
    keys = Layout.objects.filter(pk__in=placed).values_list("placement__key", flat=True) if placed else []
    return [f"placement/{key}" for key in keys]


def came_words(came: Sequence[Incoming]) -> str:
    """What became of the files that were sent, in a sentence."""
    states = [row.state for row in came]
    return told(
        [
            Clause(states.count(Incoming.State.PLACED), "file", "has its place", "have their places"),
            Clause(states.count(Incoming.State.ASKED), "file", "is asked about", "are asked about"),
            Clause(states.count(Incoming.State.REFUSED), "file", "was refused", "were refused"),
            Clause(states.count(Incoming.State.ASIDE), "file", "was here already", "were here already"),
        ]
    )


def _first_with_work(shots: Sequence[Any], standing: queries.Standing) -> str:
    """The first shot in which something is owed or wrong; else the first."""
    for shot in shots:
        if _left(standing, shot):
            return str(shot.key)
    return str(shots[0].key) if shots else ""


def _left(standing: queries.Standing, shot: Any) -> int:
    """How many of a shot's placements are owed or not in order."""
    return sum(number for state, number in standing.by_shot.get(shot.pk, Counter()).items() if state != "in")


def _shots(shots: Sequence[Any], standing: queries.Standing, chosen: str) -> list[dict[str, Any]]:
    return [
        {
            "shot": shot,
            "current": shot.key == chosen,
            "left": _left(standing, shot),
        }
        for shot in shots
    ]


def _groups(lines: Sequence[queries.Line]) -> list[dict[str, Any]]:
    """Lines under their shots."""
    groups: list[dict[str, Any]] = []
    for line in lines:
        if not groups or groups[-1]["shot"] != line.placement.shot:
            groups.append({"shot": line.placement.shot, "lines": []})
        groups[-1]["lines"].append(line)
    return groups
