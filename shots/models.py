"""The room's tables, each declared in its topic's folder."""

from shots.shot.models import Shot

__all__ = ["Shot"]
