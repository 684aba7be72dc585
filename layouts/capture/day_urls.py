"""Addresses of the page for a format that comes on the day, below the campaign."""

from django.urls import path

from layouts.capture import day_pages

urlpatterns = [
    path("shots/<str:shot>/on-the-day/", day_pages.on_the_day, name="on-the-day"),
    path("shots/<str:shot>/on-the-day/layout/<str:tag>/", day_pages.layout_picture, name="on-the-day-layout"),
]
