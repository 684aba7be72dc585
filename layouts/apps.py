from importlib import import_module

from django.apps import AppConfig

# Each topic that has a section of the brief declares it in its section.py.
SECTIONS = ["formats", "overlays", "pictures", "capture"]


class LayoutsConfig(AppConfig):
    name = "layouts"

    def ready(self) -> None:
        for topic in SECTIONS:
            import_module(f"layouts.{topic}.section").register()
        for receivers in ("formats.receivers", "overlays.sent_back", "pictures.sent_back"):
            import_module(f"layouts.{receivers}").connect()
        import_module("layouts.pictures.photos").register()
        import_module("layouts.capture.overlay_words").register()
