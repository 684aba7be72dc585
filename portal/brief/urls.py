"""Addresses of this topic; those below a campaign carry its key."""

from django.urls import path

from portal.brief import pages

urlpatterns = [
    path("c/<str:campaign>/", pages.where_it_stands, name="campaign"),
    path("c/<str:campaign>/terms/", pages.terms, name="terms"),
    path("c/<str:campaign>/brief/", pages.brief, name="brief"),
    path("c/<str:campaign>/brief/<int:number>/", pages.version, name="version"),
]
