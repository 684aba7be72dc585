"""Addresses of this topic; those below a campaign carry its key."""

from django.urls import path

from portal.changes import pages

urlpatterns = [
    path("c/<str:campaign>/changes/", pages.changes, name="changes"),
    path("c/<str:campaign>/changes/raise/", pages.raise_change, name="raise-change"),
    path("c/<str:campaign>/changes/<str:change>/", pages.change, name="change"),
    path("c/<str:campaign>/changes/<str:change>/accept/", pages.accept, name="accept-change"),
    path("c/<str:campaign>/changes/<str:change>/refuse/", pages.refuse, name="refuse-change"),
    path("c/<str:campaign>/changes/<str:change>/accept/for/<str:key>/", pages.accept_for, name="accept-change-for"),
    path("c/<str:campaign>/changes/<str:change>/refuse/for/<str:key>/", pages.refuse_for, name="refuse-change-for"),
    path("c/<str:campaign>/changes/<str:change>/withdraw/", pages.withdraw, name="withdraw-change"),
]
