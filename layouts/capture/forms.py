"""Forms of the capture plan: what is tried, the lens, and what the designer allows."""

from collections.abc import Sequence
from typing import Any

from django import forms


def _number(label: str, low: float, high: float, step: str, help_text: str = "") -> forms.FloatField:
    return forms.FloatField(
        label=label,
        required=False,
        min_value=low,
        max_value=high,
        help_text=help_text,
        widget=forms.NumberInput(attrs={"step": step, "min": f"{low:g}", "max": f"{high:g}", "inputmode": "decimal"}),
    )


class TryForm(forms.Form):
    """What is tried on the page; sent with GET and kept nowhere. Margins in per cent, sides in px."""

    margin = _number("Margin on each side", 0, 25, "0.5")
    enlargement = _number("Enlarged at most, times", 1, 4, "0.05")
    hero = _number("Hero's width over its height", 0.02, 50, "0.001", "Empty: as its zone on the mockup.")
    camera = forms.RegexField(
        r"^\s*\d{2,6}\s*[x×X]\s*\d{2,6}\s*$",
        label="Camera, px",
        required=False,
        max_length=24,
        help_text="Width × height of a capture, to try another camera.",
        error_messages={"invalid": "Write a capture's pixels as width × height, such as 11648 × 8736."},
    )
    down = forms.TypedChoiceField(
        label="The hero may be",
        coerce=float,
        required=False,
        empty_value=None,
        choices=[("", "as agreed"), ("0.95", "down to 95 % of its zone"), ("0.9", "down to 90 % of its zone"),
                 ("0.8", "down to 80 % of its zone")],
    )  # fmt: skip
    drop = forms.MultipleChoiceField(label="Left out of the plan", required=False, widget=forms.CheckboxSelectMultiple)

    def __init__(self, *args: Any, formats: Sequence[tuple[str, str]] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["drop"].choices = list(formats)  # type: ignore[attr-defined]

    def clean_camera(self) -> tuple[float, float] | None:
        text = self.cleaned_data["camera"].lower().replace("×", "x")
        if not text:
            return None
        wide, high = (float(side) for side in text.split("x"))
        return wide, high


class LensForm(forms.Form):
    """What focal length and distance are reckoned from."""

    sensor_mm = _number("Width of the sensor, its long side", 1, 1000, "0.1")
    hero_mm = _number("Real height of the hero", 1, 100_000, "1", "Of what the hero zone holds.")
    distance_mm = _number("Distance from the lens", 10, 100_000, "1", "The captures then differ in focal length.")
    focal_mm = _number("Or focal length", 1, 5000, "1", "Used where no distance is given.")


class AllowForm(forms.Form):
    """In which formats the hero may be smaller than its zone, and how small."""

    down_to = forms.TypedChoiceField(
        label="The hero may be",
        coerce=float,
        choices=[("0.95", "down to 95 % of its zone"), ("0.9", "down to 90 % of its zone"),
                 ("0.8", "down to 80 % of its zone"), ("1", "as large as its zone, no smaller")],
    )  # fmt: skip
    formats = forms.MultipleChoiceField(
        label="In these formats",
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Tick the formats in which the hero may be smaller."},
    )

    def __init__(self, *args: Any, formats: Sequence[tuple[str, str]] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["formats"].choices = list(formats)  # type: ignore[attr-defined]
