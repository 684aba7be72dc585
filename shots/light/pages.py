"""The page that edits a shot's light."""

from django.http import HttpResponse

from portal.access import May
from portal.pages import CampaignRequest, page
from shots.light.actions import edit_light
from shots.light.panel import KIND
from shots.panels import edit


@page(May.EDIT_LIGHT, "GET", "HEAD", "POST")
def light(request: CampaignRequest, shot: str) -> HttpResponse:
    return edit(request, KIND, shot, edit_light)
