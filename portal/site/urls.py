"""All addresses. A campaign's are below /c/<its key>/."""

from django.conf import settings
from django.urls import include, path

from portal.site.health import health

urlpatterns = [
    path("health/", health, name="health"),
    path("account/", include("portal.people.account_urls")),
    path("", include("portal.urls")),
    path("c/<str:campaign>/", include("shots.urls")),
    path("c/<str:campaign>/", include("layouts.urls")),
]

if settings.SHOW_LOOK:
    from portal.site.look_page import look

    urlpatterns.append(path("look/", look, name="look"))
