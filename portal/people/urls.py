"""Addresses of this topic; those below a campaign carry its key."""

from django.urls import path

urlpatterns: list = []
