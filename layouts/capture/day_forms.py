"""What is asked on the day: a format, from the catalogue or by hand, and where its hero sits in the window."""

from typing import Any

from django import forms

from layouts.formats import catalogue
from layouts.formats.forms import PosterForm, ScreenForm
from layouts.formats.models import Format
from layouts.pictures.forms import ZoneForm
from portal.models import Campaign

POSTER, SCREEN = "poster", "screen"
BY_HAND = "New format"
EDGES = ("x0", "y0", "x1", "y1")
# As a field is called here, and in the forms of ordered formats: for a poster, for a screen.
_AS = {
    POSTER: {"width": "width_mm", "height": "height_mm", "scale": "artwork_scale", "ppi": "ppi"},
    SCREEN: {"width": "width_px", "height": "height_px"},
}


def _number(label: str, **more: Any) -> forms.FloatField:
    return forms.FloatField(label=label, required=False, min_value=0, **more)


class DayForm(ZoneForm):
    """A format and a hero zone; `format` and `zone` are what was asked. A zone left empty is the mockup's.

    `choice` is a key of the campaign's formats, an id of the catalogue, or one by hand. `drawn_for` holds the zone
    that the page filled in: one that is still the same was not drawn, and follows the format.
    """

    choice = forms.ChoiceField(label="Format", error_messages={"required": "Choose a format."})
    width = _number("Width")
    height = _number("Height")
    scale = forms.IntegerField(label="Artwork made at 1 :", required=False, min_value=1, max_value=100)
    ppi = _number("Resolution of the artwork", max_value=2400)
    distance = _number("Viewing distance", max_value=1000)
    drawn_for = forms.CharField(required=False, widget=forms.HiddenInput, max_length=80)
    layout = forms.CharField(required=False, widget=forms.HiddenInput, max_length=600)

    def __init__(self, campaign: Campaign, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.campaign = campaign
        self.ordered = {row.key: row for row in campaign.formats.all()}
        for edge in EDGES:
            self.fields[edge].required = False
        for name in ("width", "height", "ppi"):
            # Said as needed where they are; whether they are there is asked in _by_hand.
            self.fields[name].required = not self.is_bound
        field = self.fields["choice"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101  for the type checker
        field.choices = [
            ("", "Choose a format"),
            ("By hand", [(POSTER, "A poster, in millimetres"), (SCREEN, "A screen, in pixels")]),
            ("Ordered for this campaign", [(key, f"{row.name}, {row.size}") for key, row in self.ordered.items()]),
            *(
                (group, [(entry["id"], f"{entry['name']}, {entry['size']}") for entry in entries])
                for group, entries in catalogue.groups()
            ),
        ]

    @property
    def by_hand(self) -> str:
        """Which is asked for by hand: "poster", "screen" or ""."""
        choice = self["choice"].value()
        return choice if choice in _AS else ""

    def clean(self) -> dict[str, Any]:
        # An edge that was left empty is none, for ZoneForm compares those that there are.
        self.cleaned_data = {name: value for name, value in self.cleaned_data.items() if value is not None}
        data = super().clean()
        given = [edge for edge in EDGES if data.get(edge) is not None]
        if given and len(given) < len(EDGES) and not any(edge in self.errors for edge in EDGES):
            missing = next(edge for edge in EDGES if edge not in given)
            self.add_error(missing, "Give all four edges of the hero zone, or none.")
        choice = data.get("choice")
        if choice in _AS:
            self._by_hand(choice, data)
        elif choice in self.ordered:
            self.format = self.ordered[choice]
        elif choice:
            self.format = Format(**catalogue.chosen([choice])[0])
        return data

    def _by_hand(self, kind: str, data: dict[str, Any]) -> None:
        """Checked as an ordered format is; its refusals stand beside the fields of this form."""
        names = _AS[kind]
        sent = {theirs: data.get(ours) for ours, theirs in names.items()}
        sent |= {"name": BY_HAND, "distance_m": data.get("distance")}
        if kind == POSTER and not data.get("scale"):
            sent["artwork_scale"] = 1
        inner = (PosterForm if kind == POSTER else ScreenForm)(sent)
        if inner.is_valid():
            fields = {name: value for name, value in inner.fields_of().items() if name != "aliases"}
            self.format = Format(**fields)
            return
        back = {theirs: ours for ours, theirs in names.items()} | {"distance_m": "distance"}
        for name, errors in inner.errors.items():
            for error in errors:
                self.add_error(back.get(name, "ppi" if kind == POSTER else "width"), error)

    @property
    def drawn(self) -> tuple[float, float, float, float] | None:
        """The zone in fractions of the window, where one was drawn or typed."""
        if any(self.cleaned_data.get(edge) is None for edge in EDGES):
            return None
        typed = ",".join(f"{self.cleaned_data[edge]:g}" for edge in EDGES)
        return None if typed == self.cleaned_data.get("drawn_for") else self.zone


def filled(zone: Any) -> dict[str, Any]:
    """The zone's fields as a page fills them in, with `drawn_for`."""
    edges = ZoneForm.per_cent(list(zone))
    return {**edges, "drawn_for": ",".join(f"{edges[edge]:g}" for edge in EDGES)}
