from importlib import import_module

from django.apps import AppConfig

# Each topic that has a section of the brief declares it in its section.py.
SECTIONS = ["shot", "food", "props", "light", "camera", "roles"]


class ShotsConfig(AppConfig):
    name = "shots"

    def ready(self) -> None:
        for topic in SECTIONS:
            import_module(f"shots.{topic}.section").register()
