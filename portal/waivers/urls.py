"""Addresses of this topic; those below a campaign carry its key."""

from django.urls import path

from portal.waivers import pages

urlpatterns = [
    path("c/<str:campaign>/waivers/", pages.waivers, name="waivers"),
    path("c/<str:campaign>/waivers/<str:finding>/", pages.waive, name="waive"),
    path("c/<str:campaign>/waivers/<str:waiver>/take-back/", pages.take_back, name="take-back-waiver"),
]
