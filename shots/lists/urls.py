"""Addresses of this topic, below the campaign."""

from django.urls import path

from shots.lists import pages

urlpatterns = [
    path("food-and-props/", pages.lists, name="lists"),
    path("food-and-props/<str:what>.<str:kind>", pages.list_file, name="list-file"),
]
