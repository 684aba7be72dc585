"""Addresses of this topic; those below a campaign carry its key."""

from django.urls import path

from portal.sealing import pages

urlpatterns = [
    path("c/<str:campaign>/put-forward/", pages.put_forward, name="put-forward"),
    path("c/<str:campaign>/brief/<int:number>/withdraw/", pages.withdraw, name="withdraw"),
    path("c/<str:campaign>/brief/<int:number>/sign/", pages.sign, name="sign"),
    path("c/<str:campaign>/brief/<int:number>/decline/", pages.decline, name="decline"),
    path("c/<str:campaign>/brief/<int:number>/sign/<str:key>/", pages.sign_for, name="sign-for"),
    path("c/<str:campaign>/brief/<int:number>/decline/<str:key>/", pages.decline_for, name="decline-for"),
    path("c/<str:campaign>/log/", pages.log, name="log"),
    path("c/<str:campaign>/log.jsonl", pages.log_file, name="log-file"),
]
