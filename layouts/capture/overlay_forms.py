"""How set overlays are asked for."""

from typing import Any

from django import forms

from layouts.capture.overlay_orders import DIMMED, LONG_SIDE, SIZES, Options


class OverlayForm(forms.Form):
    """Size, hero, dimming."""

    size = forms.IntegerField(
        label="Longer side",
        min_value=SIZES[0],
        max_value=SIZES[1],
        help_text=f"{SIZES[0]} to {SIZES[1]} px. What is laid over live view is scaled to it.",
    )
    dimmed = forms.IntegerField(
        label="Outside the crop, dimmed by", min_value=0, max_value=100, help_text="0 leaves it as it is, 100 is black."
    )
    hero = forms.BooleanField(label="Mark the corners of the hero", required=False)

    def options(self) -> Options:
        return Options(self.cleaned_data["size"], self.cleaned_data["hero"], self.cleaned_data["dimmed"])

    @staticmethod
    def first(inputs: dict[str, Any] | None) -> dict[str, Any]:
        """The form's first values: as it was last asked for, else the usual."""
        if inputs:
            return {name: inputs[name] for name in ("size", "dimmed", "hero")}
        return {"size": LONG_SIDE, "dimmed": DIMMED, "hero": True}
