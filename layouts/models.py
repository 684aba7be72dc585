"""The room's tables, each declared in its topic's folder."""

from layouts.capture.models import CapturePlan
from layouts.capture.overlay_models import SetOverlay
from layouts.formats.models import Format, Placement
from layouts.overlays.models import Incoming, Layout
from layouts.pictures.models import Mockup
from layouts.previews.models import Preview

__all__ = ["CapturePlan", "Format", "Incoming", "Layout", "Mockup", "Placement", "Preview", "SetOverlay"]
