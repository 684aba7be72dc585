from importlib import import_module

from django.apps import AppConfig

# Each topic that has a section of the brief declares it in its section.py.
SECTIONS = ["formats", "overlays", "pictures", "capture"]
# What listens to other rooms and to the worker.
RECEIVERS = ["formats.receivers", "overlays.sent_back", "pictures.sent_back", "capture.overlay_sent_back"]


class LayoutsConfig(AppConfig):
    name = "layouts"

    def ready(self) -> None:
        for topic in SECTIONS:
            import_module(f"layouts.{topic}.section").register()
        for receivers in RECEIVERS:
            import_module(f"layouts.{receivers}").connect()
        import_module("layouts.pictures.photos").register()
        import_module("layouts.capture.overlay_words").register()
