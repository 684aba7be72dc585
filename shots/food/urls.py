"""Addresses of this topic, below the campaign."""

from django.urls import path

from shots.food import pages

urlpatterns = [
    path("shots/<str:shot>/food/add/", pages.add_food, name="add-food"),
    path("food/<str:food>/", pages.food, name="food"),
    path("food/<str:food>/remove/", pages.remove_food, name="remove-food"),
    path("food/<str:food>/ask/", pages.ask_recipe, name="ask-recipe"),
    path("food/<str:food>/confirm/", pages.confirm_recipe, name="confirm-recipe"),
    path("food/<str:food>/clear/", pages.clear_substitution, name="clear-substitution"),
]
