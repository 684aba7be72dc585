"""Addresses of this topic, below the campaign."""

from django.urls import path

from shots.props import pages

urlpatterns = [
    path("shots/<str:shot>/props/add/", pages.add_prop, name="add-prop"),
    path("props/<str:prop>/", pages.prop, name="prop"),
    path("props/<str:prop>/remove/", pages.remove_prop, name="remove-prop"),
]
