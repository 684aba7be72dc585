"""The page of components by itself, whatever SHOW_LOOK says: for tests/browser/test_look.py."""

from django.urls import path

from portal.site.look_page import look
from portal.site.urls import urlpatterns as portal

urlpatterns = [path("look/", look), *portal]
