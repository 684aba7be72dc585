"""The room's addresses below /c/<campaign>/, topic by topic."""

from layouts.formats.urls import urlpatterns as formats
from layouts.overlays.urls import urlpatterns as overlays
from layouts.pictures.urls import urlpatterns as pictures
from layouts.previews.urls import urlpatterns as previews

app_name = "layouts"
urlpatterns = [*formats, *overlays, *pictures, *previews]
