"""Addresses of this topic, below the campaign."""

from django.urls import path

from shots.light import pages

urlpatterns = [path("shots/<str:shot>/light/", pages.light, name="light")]
