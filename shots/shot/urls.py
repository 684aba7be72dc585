"""Addresses of this topic, below the campaign."""

from django.urls import path

from shots.shot import pages

urlpatterns = [
    path("shots/", pages.shots, name="shots"),
    path("shots/add/", pages.add, name="add"),
    path("shots/<str:shot>/", pages.shot, name="shot"),
    path("shots/<str:shot>/edit/", pages.edit, name="edit"),
    path("shots/<str:shot>/move/", pages.move, name="move"),
    path("shots/<str:shot>/remove/", pages.remove, name="remove"),
]
