"""Addresses of this topic, below the campaign."""

from django.urls import path

from layouts.formats import pages

urlpatterns = [
    path("formats/", pages.formats, name="formats"),
    path("formats/add/", pages.add_formats, name="add-formats"),
    path("formats/wanted/", pages.wanted, name="wanted"),
    path("formats/by-hand/<str:kind>/", pages.by_hand, name="format-by-hand"),
    path("formats/<str:format>/", pages.format, name="format"),
    path("formats/<str:format>/move/", pages.move_format, name="move-format"),
    path("formats/<str:format>/remove/", pages.remove_format, name="remove-format"),
]
