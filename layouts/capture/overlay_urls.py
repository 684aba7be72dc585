"""Addresses of set overlays, below the campaign."""

from django.urls import path

from layouts.capture import overlay_pages

urlpatterns = [
    path("shots/<str:shot>/set-overlays/", overlay_pages.set_overlays, name="set-overlays"),
    path("shots/<str:shot>/set-overlays/<str:tag>/<str:which>/", overlay_pages.set_overlay, name="set-overlay"),
]
