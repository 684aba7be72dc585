"""Forms of formats: one for posters (mm, artwork scale, ppi or pixels), one for screens (pixels)."""

from typing import Any

from django import forms

from layouts.formats.models import MM, PX, SAME_SHAPE, Format


def _whole(label: str, validators: list[Any], *, required: bool, help_text: str = "") -> forms.IntegerField:
    low, high = (validator.limit_value for validator in validators)
    return forms.IntegerField(label=label, required=required, min_value=low, max_value=high, help_text=help_text)


class _FormatForm(forms.Form):
    """What posters and screens have in common; `kind` and `fields_of` are what the act takes."""

    kind = ""
    name = forms.CharField(label="Name", max_length=80)
    distance_m = forms.FloatField(
        label="Viewing distance, m",
        required=False,
        min_value=0.1,
        max_value=1000,
        help_text="From where most people read it. May be left empty.",
    )
    aliases = forms.CharField(
        label="Other names in file names",
        required=False,
        max_length=400,
        help_text="Separated by commas: what the designer may call it. Sizes are known without.",
    )

    def clean_aliases(self) -> list[str]:
        names = (name.strip() for name in self.cleaned_data["aliases"].split(","))
        return list(dict.fromkeys(name[:60] for name in names if name))

    def fields_of(self) -> dict[str, Any]:
        """The fields of a Format, for `add_formats` and `edit_format`."""
        return {name: value for name, value in self.cleaned_data.items() if name != "ppi"} | {"kind": self.kind}

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not self.errors:
            self._settle(data)
        if not self.errors:
            # The model's own rule (one shape in mm and in px), shown beside the field it speaks of.
            fields = {name: value for name, value in data.items() if name not in ("ppi", "aliases")}
            try:
                Format(kind=self.kind, **fields).clean()
            except forms.ValidationError as wrong:
                self.add_error(None, wrong)
        return data

    def _settle(self, data: dict[str, Any]) -> None:
        """Fill in what follows from other fields."""


class PosterForm(_FormatForm):
    """A poster: its size in mm, the scale of its artwork, and ppi or pixels."""

    kind = Format.Kind.POSTER
    belongs = {"ppi": "width_px"}
    width_mm = _whole("Width, mm", MM, required=True)
    height_mm = _whole("Height, mm", MM, required=True)
    artwork_scale = forms.IntegerField(
        label="Artwork made at 1 :", min_value=1, max_value=100, initial=10, help_text="10 for a tenth of the size."
    )
    ppi = forms.FloatField(
        label="Artwork's ppi", required=False, min_value=1, max_value=2400, help_text="At the artwork's own size."
    )
    width_px = _whole("or width, px", PX, required=False)
    height_px = _whole("and height, px", PX, required=False)

    field_order = [
        "name",
        "width_mm",
        "height_mm",
        "artwork_scale",
        "ppi",
        "width_px",
        "height_px",
        "distance_m",
        "aliases",
    ]

    def _settle(self, data: dict[str, Any]) -> None:
        given = data.get("width_px"), data.get("height_px")
        if any(given) and not all(given):
            self.add_error("height_px" if given[0] else "width_px", "Give both width and height in pixels, or neither.")
            return
        if not data.get("ppi"):
            if not all(given):
                self.add_error("ppi", "Give the artwork's ppi, or its width and height in pixels.")
            return
        follows = tuple(
            round(data[side] / data["artwork_scale"] / 25.4 * data["ppi"]) for side in ("width_mm", "height_mm")
        )
        if all(given) and any(abs(a - b) > SAME_SHAPE * b for a, b in zip(given, follows, strict=True)):
            self.add_error(
                "ppi",
                f"{data['ppi']:g} ppi at 1 : {data['artwork_scale']} makes {follows[0]} × {follows[1]} px, not "
                f"{given[0]} × {given[1]}. Leave one of the two empty.",
            )
        elif not all(given):
            for side, pixels in zip(("width_px", "height_px"), follows, strict=True):
                if not PX[0].limit_value <= pixels <= PX[1].limit_value:
                    self.add_error("ppi", f"That makes {follows[0]} × {follows[1]} px; check ppi and scale.")
                    return
                data[side] = pixels


class ScreenForm(_FormatForm):
    """A screen: its pixels; its physical size where known."""

    kind = Format.Kind.SCREEN
    width_px = _whole("Width, px", PX, required=True)
    height_px = _whole("Height, px", PX, required=True)
    width_mm = _whole(
        "Width, mm", MM, required=False, help_text="Where known: it then stands in the street at its size."
    )
    height_mm = _whole("Height, mm", MM, required=False)

    field_order = ["name", "width_px", "height_px", "width_mm", "height_mm", "distance_m", "aliases"]


FORMS: dict[str, type[_FormatForm]] = {"poster": PosterForm, "screen": ScreenForm}


def form_of(format: Format, data: Any = None) -> _FormatForm:
    """The form of a format that is there, filled with what it is."""
    names = ("name", "width_mm", "height_mm", "artwork_scale", "width_px", "height_px", "distance_m")
    initial = {name: getattr(format, name) for name in names} | {"aliases": ", ".join(format.aliases)}
    return FORMS[format.kind](data, initial=initial)
