"""Pages of props: rows are added, edited and removed where they stand."""

from django.http import HttpResponse

from portal.access import May
from portal.pages import CampaignRequest, page
from shots import tables
from shots.props.tables import TABLE


@page(May.EDIT_PROPS, "GET", "HEAD", "POST")
def add_prop(request: CampaignRequest, shot: str) -> HttpResponse:
    return tables.add(request, TABLE, shot)


@page(May.EDIT_PROPS, "GET", "HEAD", "POST")
def prop(request: CampaignRequest, prop: str) -> HttpResponse:
    return tables.edit(request, TABLE, prop)


@page(May.EDIT_PROPS, "GET", "HEAD", "POST")
def remove_prop(request: CampaignRequest, prop: str) -> HttpResponse:
    return tables.remove(request, TABLE, prop)
