"""The page that edits a shot's camera."""

from django.http import HttpResponse

from portal.access import May
from portal.pages import CampaignRequest, page
from shots.camera.actions import edit_camera
from shots.camera.panel import KIND
from shots.panels import edit


@page(May.EDIT_CAMERA, "GET", "HEAD", "POST")
def camera(request: CampaignRequest, shot: str) -> HttpResponse:
    return edit(request, KIND, shot, edit_camera)
