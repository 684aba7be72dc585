"""The capture plans as a PDF to take to set, with the version's stamp or DRAFT."""

from typing import Any, Literal

from django.http import Http404, HttpResponse
from django.utils.http import content_disposition_header

from layouts.capture import papers
from portal import access
from portal.access import May
from portal.brief import documents
from portal.pages import page
from portal.papers.pdf import pdf

_PAPERS: dict[str, Literal["a4", "letter"]] = {"a4": "a4", "letter": "letter"}


@page(May.READ_VERSIONS)
def plan_file(request: Any) -> HttpResponse:
    """What was accepted, of all shots or, with `?shot=`, of one; `?paper=a4` or `letter`."""
    campaign = request.member.campaign
    brief = documents.as_rows_stand(campaign, papers.DRAWN)
    if brief.is_draft:
        access.need(request.member, May.READ_DRAFT)
    try:
        paper = _PAPERS[request.GET.get("paper", "a4")]
        sheet = papers.sheet(campaign, brief, request.GET.get("shot") or None)
    except KeyError as none:
        raise Http404("There is no such capture plan.") from none
    response = HttpResponse(pdf(sheet, paper), content_type="application/pdf")
    response["Content-Disposition"] = content_disposition_header(True, papers.file_name(sheet, brief)) or ""
    response["Cache-Control"] = "private, no-store"
    response["X-Content-Type-Options"] = "nosniff"
    return response
