"""Addresses of this topic; that of one campaign carries its key."""

from django.urls import path

from portal.notices import pages

urlpatterns = [
    path("me/mail/", pages.my_mail, name="my-mail"),
    path("c/<str:campaign>/mail/", pages.campaign_mail, name="campaign-mail"),
    path("no-more-mail/<str:token>/", pages.stop_mail, name="stop-mail"),
]
