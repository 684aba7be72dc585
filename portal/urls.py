"""The portal's addresses, topic by topic."""

from portal.brief.urls import urlpatterns as brief
from portal.changes.pivot_urls import urlpatterns as pivots
from portal.changes.urls import urlpatterns as changes
from portal.delegation.urls import urlpatterns as delegation
from portal.notices.urls import urlpatterns as notices
from portal.people.urls import urlpatterns as people
from portal.sealing.urls import urlpatterns as sealing
from portal.talk.urls import urlpatterns as talk
from portal.waivers.urls import urlpatterns as waivers

app_name = "portal"
urlpatterns = [*brief, *delegation, *notices, *people, *pivots, *changes, *sealing, *talk, *waivers]
