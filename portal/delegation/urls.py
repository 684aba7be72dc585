"""Addresses of this topic; all below a campaign."""

from django.urls import path

from portal.delegation import pages

urlpatterns = [
    path("c/<str:campaign>/signatures/", pages.signatures, name="signatures"),
    path("c/<str:campaign>/signatures/delegate/", pages.delegate, name="delegate"),
    path("c/<str:campaign>/signatures/<str:key>/end/", pages.end, name="end-delegation"),
]
