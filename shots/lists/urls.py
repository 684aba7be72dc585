"""Addresses of this topic, below the campaign."""

urlpatterns: list[object] = []
