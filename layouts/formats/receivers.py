"""What this topic does when the portal says that a campaign's shape has changed."""

from typing import Any

from layouts.formats.actions import fill_grid
from portal.brief.signals import shape_changed
from portal.models import Campaign


def follow_shape(sender: Any, campaign: Campaign, **kwargs: Any) -> None:
    """A shot or a language came or went: the grid follows, in the same transaction."""
    fill_grid(campaign)


def connect() -> None:
    """Called once, from the room's AppConfig.ready."""
    shape_changed.connect(follow_shape, dispatch_uid="layouts.formats.follow_shape")
