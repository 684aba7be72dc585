"""Pages of the shots: all in order, one, and the acts on them."""

from functools import partial

from django.http import HttpResponse
from django.urls import reverse

from portal import access
from portal.access import May
from portal.brief import once
from portal.brief.both import TouchedMeanwhile
from portal.brief.both_forms import length_of
from portal.brief.draft import closed_because
from portal.pages import CampaignRequest, page, show
from portal.site.sentences import count, joined
from shots.answers import SeeOther, act_on, ask, need_open, or_404
from shots.camera.panel import KIND as CAMERA
from shots.food.cautions import CAUTIONS as FOOD_CAUTIONS
from shots.food.tables import TABLE as FOOD
from shots.light.panel import KIND as LIGHT
from shots.panels import edit as edit_panel
from shots.panels import panel
from shots.props.cautions import CAUTIONS as PROPS_CAUTIONS
from shots.props.tables import TABLE as PROPS
from shots.shot import actions, queries
from shots.shot.forms import ShotForm
from shots.shot.panel import KIND
from shots.shot.state import State, opening, owed, states
from shots.tables import of_shot


@page(May.READ_DRAFT)
def shots(request: CampaignRequest) -> HttpResponse:
    """All shots in order, each with where it stands."""
    campaign = request.member.campaign
    found = states(campaign)
    rows = [(shot, found.get(shot.key, State())) for shot in queries.overview(campaign)]
    context = {
        "rows": rows,
        "closed": closed_because(campaign),
        "adds": access.may(request.member, May.EDIT_SHOTS) and not closed_because(campaign, "shots"),
        "says": opening([state for _, state in rows]),
        "owed": owed([finding for _, state in rows for finding in state.must], request.member),
    }
    return show(request, "shots/shot/all.html", context)


@page(May.READ_DRAFT)
def shot(request: CampaignRequest, shot: str) -> HttpResponse:
    """One shot: pictures, texts, food, props, light, camera, talk."""
    campaign = request.member.campaign
    with or_404():
        row = queries.one(campaign, shot)
    state = states(campaign).get(row.key, State())
    context = {
        "shot": row,
        "state": state,
        "owed": owed([*state.must, *state.look], request.member),
        "closed": closed_because(campaign),
        "beside": queries.neighbours(row),
        "panels": [panel(request, kind, row) for kind in (KIND, LIGHT, CAMERA)],
        "food": of_shot(request, FOOD, row),
        "food_cautions": FOOD_CAUTIONS,
        "props_cautions": PROPS_CAUTIONS,
        "props": of_shot(request, PROPS, row),
    }
    return show(request, "shots/shot/one.html", context)


@page(May.EDIT_SHOTS, "GET", "HEAD", "POST")
def add(request: CampaignRequest) -> HttpResponse:
    """A new shot behind the last."""
    need_open(request, "shots")
    form = ShotForm(request.POST or None)
    adding = partial(actions.add_shot, request.member, once=once.digest_of(request))
    if request.method == "POST" and (made := act_on(form, adding)):
        return SeeOther(reverse("shots:shot", args=[request.member.campaign.key, made.key]))
    return ask(request, "shots/shot/add.html", {"form": form}, refused=request.method == "POST")


@page(May.EDIT_SHOTS, "GET", "HEAD", "POST")
def edit(request: CampaignRequest, shot: str) -> HttpResponse:
    return edit_panel(request, KIND, shot, actions.edit_shot)


@page(May.EDIT_SHOTS, "POST")
def move(request: CampaignRequest, shot: str) -> HttpResponse:
    """One place up or down; the button that was pressed keeps the focus by its id."""
    with or_404():
        actions.move_shot(request.member, shot, up=request.POST.get("to") == "up", once=once.digest_of(request))
    return SeeOther(reverse("shots:shots", args=[request.member.campaign.key]) + f"#shot-{shot}")


@page(May.EDIT_SHOTS, "GET", "HEAD", "POST")
def remove(request: CampaignRequest, shot: str) -> HttpResponse:
    """Ask first, then remove; ask again where others have changed it, or what goes with it, since."""
    need_open(request, "shots")
    campaign = request.member.campaign
    told: list[str] = []
    with or_404():
        if request.method == "POST":
            if once.removed(campaign, shot):
                return SeeOther(reverse("shots:shots", args=[campaign.key]))
            try:
                actions.remove_shot(request.member, shot, read=length_of(request.POST))
                return SeeOther(reverse("shots:shots", args=[campaign.key]))
            except TouchedMeanwhile as touched:
                told = touched.told
                campaign.refresh_from_db(fields=["log_length"])
        row = queries.overview(campaign).get(key=shot)
    says = f"Remove this shot, with {joined([count(row.foods, 'food'), count(row.things, 'prop')])}?"
    status = 422 if told else 200
    return show(request, "shots/shot/remove.html", {"shot": row, "says": says, "told": told}, status=status)
