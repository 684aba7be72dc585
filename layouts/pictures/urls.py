"""Addresses of mockups, below the campaign."""

from django.urls import path

from layouts.pictures import pages

urlpatterns = [
    path("shots/<str:shot>/mockup/", pages.mockup, name="mockup"),
    path("shots/<str:shot>/hero-zone/", pages.hero, name="hero"),
    path("shots/<str:shot>/pictures/", pages.shot_pictures, name="shot-pictures"),
    path("mockups/<str:mockup>/<int:width>/", pages.image, name="mockup-image"),
    path("mockups/<str:mockup>/original/", pages.original, name="mockup-original"),
    path("mockups/<str:mockup>/stand-again/", pages.stand_again, name="mockup-current"),
    path("mockups/<str:mockup>/again/", pages.copies_again, name="mockup-again"),
]
