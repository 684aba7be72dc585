"""Addresses of this topic; those below a campaign carry its key."""

from django.urls import path

from portal.people import own_pages, pages

urlpatterns = [
    path("", own_pages.home, name="home"),
    path("start/", own_pages.start, name="start"),
    path("me/", own_pages.me, name="me"),
    path("join/<str:token>/", own_pages.join, name="join"),
    path("c/<str:campaign>/people/", pages.people, name="people"),
    path("c/<str:campaign>/people/invite/", pages.invite, name="invite"),
    path("c/<str:campaign>/people/invitations/<str:key>/resend/", pages.resend, name="resend"),
    path("c/<str:campaign>/people/invitations/<str:key>/withdraw/", pages.withdraw, name="withdraw-invitation"),
    path("c/<str:campaign>/people/<str:key>/change/", pages.change, name="change-member"),
    path("c/<str:campaign>/people/<str:key>/remove/", pages.remove, name="remove-member"),
]
