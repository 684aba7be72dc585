"""Addresses of the capture plan, below the campaign."""

from django.urls import path

from layouts.capture import pages, paper_pages

urlpatterns = [
    path("capture/", pages.captures, name="captures"),
    path("capture-plan.pdf", paper_pages.plan_file, name="capture-file"),
    path("shots/<str:shot>/capture/", pages.capture, name="capture"),
    path("shots/<str:shot>/capture/changes/", pages.changes, name="capture-changes"),
    path("shots/<str:shot>/capture/accept/", pages.accept, name="accept-capture"),
    path("shots/<str:shot>/capture/lens/", pages.settle, name="settle-capture"),
    path("shots/<str:shot>/capture/allow/", pages.allow, name="allow-capture"),
]
