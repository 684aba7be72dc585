"""The stylist's page, and the lists as files. All of it is drawn from the document that holds."""

from typing import Any, Literal

from django.http import Http404, HttpResponse
from django.urls import reverse
from django.utils.http import content_disposition_header

from portal import access
from portal.access import May
from portal.brief import documents
from portal.brief.draft import closed_because
from portal.pages import CampaignRequest, page, show
from portal.papers.delimited import csv
from portal.papers.pdf import pdf
from portal.papers.xlsx import xlsx
from shots.food.cautions import CAUTIONS as FOOD_CAUTIONS
from shots.food.tables import TABLE as FOOD
from shots.lists import words
from shots.lists.lines import Listed, listed, shots_of
from shots.lists.sheets import ONCE, TITLES, file_name, sheet
from shots.props.cautions import CAUTIONS as PROPS_CAUTIONS
from shots.props.tables import TABLE as PROPS
from shots.tables import Table

_TYPES = {
    "pdf": "application/pdf",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "csv": "text/csv; charset=utf-8",
}
_PAPERS: dict[str, Literal["a4", "letter"]] = {"a4": "a4", "letter": "letter"}


@page(May.READ_VERSIONS)
def lists(request: CampaignRequest) -> HttpResponse:
    """Hero food and props of all shots: due soonest first, added up, what is missing, and the files."""
    campaign = request.member.campaign
    brief = documents.current(campaign)
    if brief.is_draft and not access.may(request.member, May.READ_DRAFT):
        return show(request, "shots/lists/not_yet.html", {})
    shots = shots_of(brief)
    shot = next((one for one in shots if one["id"] == request.GET.get("shot")), None)
    found = [listed(brief, table.id, shot["id"] if shot else None) for table in (FOOD, PROPS)]
    context = {
        "brief": brief,
        "closed": closed_because(campaign),
        "shots": shots,
        "shot": shot,
        "tables": [
            _table(request, FOOD, brief, found[0], FOOD_CAUTIONS),
            _table(request, PROPS, brief, found[1], PROPS_CAUTIONS),
        ],
        "rest": f"&shot={shot['id']}" if shot else "",
        "once": ONCE,
        "says": words.opening(brief, found),
        "owed": words.owed(found),
    }
    return show(request, "shots/lists/lists.html", context)


def _table(
    request: CampaignRequest, table: Table, brief: documents.Brief, found: Listed, cautions: tuple[str, ...]
) -> dict[str, Any]:
    return {
        "table": table,
        "title": TITLES[table.id],
        "lines": [table.line_of_data(row, shot) for row, shot in found.rows],
        "columns": words.COLUMNS[table.id],
        "totals": words.totals(found) if found.adds_up else [],
        "file": reverse("shots:lists", args=[request.member.campaign.key]) + table.id,
        "cautions": cautions,
    } | _rights(request, table, brief)


def _rights(request: CampaignRequest, table: Table, brief: documents.Brief) -> dict[str, Any]:
    """What rows offer here. Of a version that was signed they are read: what a change opens is edited with its shot."""
    rights = table.rights(request, "")
    return rights if brief.is_draft else dict.fromkeys(rights, False)


@page(May.READ_VERSIONS)
def list_file(request: CampaignRequest, what: str, kind: str) -> HttpResponse:
    """A list as a file; `?shot=` one shot's, `?paper=letter` for print on Letter."""
    campaign = request.member.campaign
    brief = documents.current(campaign)
    if brief.is_draft:
        access.need(request.member, May.READ_DRAFT)
    shot, paper = request.GET.get("shot") or None, request.GET.get("paper", "a4")
    known = shot is None or any(one["id"] == shot for one in shots_of(brief))
    if what not in TITLES or kind not in _TYPES or paper not in _PAPERS or not known:
        raise Http404("There is no such list.")
    made = sheet(campaign, brief, what, shot)
    data = csv(made) if kind == "csv" else (pdf if kind == "pdf" else xlsx)(made, _PAPERS[paper])
    response = HttpResponse(data, content_type=_TYPES[kind])
    response["Content-Disposition"] = content_disposition_header(True, file_name(brief, what, shot, kind)) or ""
    response["Cache-Control"] = "private, no-store"
    response["X-Content-Type-Options"] = "nosniff"
    return response
