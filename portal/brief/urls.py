"""Addresses of this topic; those below a campaign carry its key."""

from django.urls import path

from portal.brief import compare_pages, pages

urlpatterns = [
    path("c/<str:campaign>/", pages.where_it_stands, name="campaign"),
    path("c/<str:campaign>/terms/", pages.terms, name="terms"),
    path("c/<str:campaign>/brief/", pages.brief, name="brief"),
    path("c/<str:campaign>/brief/<int:number>/", pages.version, name="version"),
    path("c/<str:campaign>/brief/compare/", compare_pages.compare, name="compare"),
    path("c/<str:campaign>/brief/since/", compare_pages.since, name="since"),
    path("c/<str:campaign>/brief/pictures/<str:section>/<str:sha256>/", compare_pages.picture, name="version-picture"),
    path("c/<str:campaign>/check/", compare_pages.check, name="check"),
    path("c/<str:campaign>/check/<str:stamp>/", compare_pages.check, name="check-stamp"),
]
