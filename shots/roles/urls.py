"""Addresses of this topic, below the campaign."""

from django.urls import path

from shots.roles import pages

urlpatterns = [
    path("roles/", pages.roles, name="roles"),
    path("roles/add/", pages.add_role, name="add-role"),
    path("roles/<str:role>/", pages.answer, name="answer-role"),
    path("roles/<str:role>/remove/", pages.remove_role, name="remove-role"),
]
