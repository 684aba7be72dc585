"""Addresses of this topic; those below a campaign carry its key."""

from django.urls import path

from portal.talk import pages

urlpatterns = [
    path("c/<str:campaign>/talk/", pages.talk, name="talk"),
    path("c/<str:campaign>/talk/comment/<str:comment>/answer/", pages.answer, name="answer"),
    path("c/<str:campaign>/talk/comment/<str:comment>/resolve/", pages.resolve, name="resolve"),
    path("c/<str:campaign>/talk/comment/<str:comment>/reopen/", pages.reopen, name="reopen"),
    path("c/<str:campaign>/talk/<str:kind>/<str:key>/", pages.thread, name="thread"),
]
