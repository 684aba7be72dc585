"""Layouts laid over pictures: previews, tiles, and how they print."""
