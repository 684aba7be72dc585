"""The campaign that layouts are sent to."""

from tests.layouts.conftest import designer, ordered, place

__all__ = ["designer", "ordered", "place"]
