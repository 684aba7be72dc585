"""Addresses of this topic, below the campaign."""

from django.urls import path

urlpatterns: list = []
