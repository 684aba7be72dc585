"""The room's addresses below /c/<campaign>/, topic by topic."""

from layouts.capture.day_urls import urlpatterns as on_the_day
from layouts.capture.overlay_urls import urlpatterns as set_overlays
from layouts.capture.urls import urlpatterns as captures
from layouts.formats.urls import urlpatterns as formats
from layouts.overlays.urls import urlpatterns as overlays
from layouts.pictures.urls import urlpatterns as pictures
from layouts.previews.urls import urlpatterns as previews

app_name = "layouts"
urlpatterns = [*formats, *overlays, *pictures, *previews, *captures, *set_overlays, *on_the_day]
