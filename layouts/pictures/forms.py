"""Forms of mockups and hero zones."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError


class MockupForm(forms.Form):
    file = forms.FileField(
        label="The picture",
        help_text="JPEG, PNG, TIFF or WebP, at the size you have: at least 2400 px wide looks right on the page.",
        error_messages={
            "required": "Choose a picture to send.",
            "empty": "This file is empty: 0 bytes arrived. Send it again.",
        },
        widget=forms.FileInput(attrs={"accept": "image/jpeg,image/png,image/tiff,image/webp"}),
    )


def _edge(label: str) -> forms.FloatField:
    return forms.FloatField(
        label=label,
        min_value=0,
        max_value=100,
        widget=forms.NumberInput(attrs={"step": "0.1", "min": "0", "max": "100", "inputmode": "decimal"}),
        error_messages={"required": "Say where this edge is, in per cent."},
    )


_ORDER = (
    ("x0", "x1", "The right edge must lie right of the left one."),
    ("y0", "y1", "The bottom edge must lie below the top one."),
)


class ZoneForm(forms.Form):
    """Four edges in per cent of the picture's width and height, from its upper left corner."""

    x0 = _edge("Left edge")
    y0 = _edge("Top edge")
    x1 = _edge("Right edge")
    y1 = _edge("Bottom edge")

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        for low, high, says in _ORDER:
            if low in found and high in found and found[low] >= found[high]:
                self.add_error(high, ValidationError(says))
        return found

    @property
    def zone(self) -> tuple[float, float, float, float]:
        """The four edges in fractions."""
        x0, y0, x1, y1 = (self.cleaned_data[edge] / 100 for edge in ("x0", "y0", "x1", "y1"))
        return x0, y0, x1, y1

    @staticmethod
    def per_cent(zone: list[float] | None) -> dict[str, float]:
        """A stored zone as the form's first values."""
        return {edge: round(100 * at, 1) for edge, at in zip(("x0", "y0", "x1", "y1"), zone or [], strict=False)}
