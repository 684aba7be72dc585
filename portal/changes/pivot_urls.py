"""Addresses of a change on set; the page's worker lies below it, so that it reaches no further."""

from django.urls import path

from portal.changes import pivot_pages

urlpatterns = [
    path("c/<str:campaign>/changes/on-set/", pivot_pages.pivot, name="pivot"),
    path("c/<str:campaign>/changes/on-set/ready/", pivot_pages.ready, name="pivot-ready"),
    path("c/<str:campaign>/changes/on-set/worker.js", pivot_pages.worker, name="pivot-worker"),
    path("c/<str:campaign>/changes/<str:change>/photo/", pivot_pages.photo, name="pivot-photo"),
    path("c/<str:campaign>/changes/<str:change>/photo/original/", pivot_pages.original, name="pivot-original"),
]
