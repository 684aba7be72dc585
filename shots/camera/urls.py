"""Addresses of this topic, below the campaign."""

from django.urls import path

from shots.camera import pages

urlpatterns = [path("shots/<str:shot>/camera/", pages.camera, name="camera")]
