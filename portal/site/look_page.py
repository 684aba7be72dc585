"""The page of components, /look/: every one with its states, for those who build pages and for the tests that walk it.

Routed only where settings.SHOW_LOOK is on. Nothing on it comes from the database, and every name on it is invented.
"""

from typing import Any

from django import forms
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.templatetags.static import static

from portal.site import sentences
from portal.site.sentences import Clause
from portal.templatetags.ui import measure

_LONG = (
    "Autumn warmers for the coast road and both stations: squash soup, barley pot, plum crumble, "
    "in the third round of talks"
)
_DIGEST = "9c41e07b52aa6cf0d81be3390f4d17c68f0e4a7b1c2d93e85a6f70b14d2c9e38"


class Sample(forms.Form):
    """Every kind of field that pages use."""

    name = forms.CharField(help_text="As it stands on the call sheet.", max_length=80)
    width = forms.IntegerField(label="Width", min_value=1)
    height = forms.IntegerField(label="Height", min_value=1)
    role = forms.ChoiceField(choices=[("stylist", "Food stylist"), ("props", "Props stylist")])
    notes = forms.CharField(widget=forms.Textarea, required=False, help_text="What the next person must know.")
    due = forms.DateField(widget=forms.DateInput(attrs={"type": "date"}), required=False)
    recipe = forms.FileField(label="Recipe sheet", required=False)
    may_sign = forms.BooleanField(
        label="May sign for the client", required=False, help_text="A signature holds for the whole side."
    )
    source = forms.ChoiceField(
        widget=forms.RadioSelect, choices=[("hire", "Hire"), ("buy", "Buy"), ("own", "From our own store")]
    )


class Zone(forms.Form):
    x0 = forms.FloatField(label="Left", min_value=0, max_value=100, widget=forms.NumberInput(attrs={"step": "any"}))
    x1 = forms.FloatField(label="Right", min_value=0, max_value=100, widget=forms.NumberInput(attrs={"step": "any"}))
    y0 = forms.FloatField(label="Top", min_value=0, max_value=100, widget=forms.NumberInput(attrs={"step": "any"}))
    y1 = forms.FloatField(label="Bottom", min_value=0, max_value=100, widget=forms.NumberInput(attrs={"step": "any"}))


def _placement(label: str, width: int | None, height: int | None, number: int, **more: Any) -> dict[str, Any]:
    picture = static("portal/look/scene.webp")
    here = {"label": label, "width_mm": width, "height_mm": height, "url": f"#placement-{number}"}
    return {**here, "image_url": picture, "alt": "", **more}


def _street() -> list[dict[str, Any]]:
    return [
        _placement("Wide roadside", 12192, 3048, 1, note="read from 20 m"),
        _placement("Roadside", 6096, 3048, 2),
        _placement("Street poster", 1200, 1800, 3),
        _placement("Street poster, Welsh", 1200, 1800, 4, image_url=None),
        _placement("Portrait screen", 680, 1209, 5),
        _placement("Landscape screen", None, None, 6, width_px=1920, height_px=1080),
    ]


def _sentences() -> list[tuple[str, str]]:
    def owed(layouts: int, unread: int) -> str:
        return sentences.standing([
            Clause(layouts, "layout", "is still owed", "are still owed"),
            Clause(unread, "layout", "cannot be read over its picture", "cannot be read over their pictures"),
        ])  # fmt: skip

    return [
        ("None", owed(0, 0)),
        ("One", owed(1, 0)),
        ("Many and one", owed(3, 1)),
        ("Past twelve", owed(1204, 13)),
        ("Part", sentences.part(5, 6, "layout", "in")),
        ("Waiting", sentences.waits(4)),
    ]


def look(request: HttpRequest) -> HttpResponse:
    """GET: all components. `?refused` shows the form as it looks when it has been refused, with status 422."""
    refused = "refused" in request.GET
    form = Sample({"name": "", "width": "-4", "height": "3048", "role": "cook", "notes": "Kept."} if refused else None)
    context = {
        "sections": [
            {"label": label, "url": "#main", "current": label == "Shots"}
            for label in ("Where it stands", "Shots", "Formats", "Layouts", "Food and props", "Talk", "Brief", "People")
        ],
        "standing": "draft, after version 2",
        "opening": sentences.standing([
            Clause(3, "layout", "is still owed", "are still owed"),
            Clause(1, "layout", "cannot be read over its picture", "cannot be read over their pictures"),
        ]),
        "owed": [
            {"what": "Street poster, Welsh", "by": "designer owes a file", "url": "#owed"},
            {"what": "Wide roadside, shot 2", "by": "type 1.6 to 1", "url": "#owed", "state": "wrong"},
            {"what": "Recipe of the squash soup", "by": "client to confirm", "url": "#owed"},
            {"what": "Retoucher", "by": "named, Rhian Okafor", "state": "agreed"},
        ],
        "sentences": _sentences(),
        "figures": [
            ("Size", measure((6096, 3048), "mm")),
            ("Artwork", measure("7200 × 3600", "px")),
            ("On the poster", measure(32.9, "ppi", 1)),
            ("Covered", measure(2, "%")),
            ("Hold", measure(None, "min")),
            ("Type", "fails on one", "wrong"),
            ("Recipe", "as sold, confirmed", "agreed"),
        ],
        "columns": ["Prop", ("Quantity", "num"), "Source", "Due"],
        "rows": [
            ["Grey stoneware bowl", 3, "hire, Pell Lane Props", "12 May"],
            ["Linen runner, oatmeal, washed and not ironed", 2, "buy", "9 May"],
            ["Tall slate vase", 1, "our own store", "not yet known"],
        ],
        "foot": ["Altogether", 6, "", ""],
        "form": form,
        "zone": Zone(initial={"x0": 53.0, "y0": 40.0, "x1": 83.0, "y1": 79.0}),
        "street": _street(),
        "digest": _DIGEST,
        "page": Paginator(range(1, 61), 20).page(2),
        "scene": static("portal/look/scene.webp"),
        "layer": static("portal/look/layer.webp"),
        "composed": static("portal/look/composed.webp"),
        "tall": static("portal/look/tall.webp"),
        "tall_faults": [{"x0": 0.14, "y0": 0.11, "x1": 0.72, "y1": 0.37, "words": "1.6 : 1"}],
        "nothing": [],
        "hero": (0.53, 0.4, 0.83, 0.79),
        "zones": [
            {"x0": 0.045, "y0": 0.11, "x1": 0.245, "y1": 0.37, "number": 1},
            {"x0": 0.79, "y0": 0.92, "x1": 0.97, "y1": 0.95, "number": 2},
        ],
        "faults": [{"x0": 0.045, "y0": 0.11, "x1": 0.245, "y1": 0.37, "words": "1.6 : 1"}],
        "pins": [{"x": 0.62, "y": 0.44, "number": 1, "url": "#comment-1", "label": "Comment 1, by Tomos Achterberg"}],
        "long": _LONG,
    }  # fmt: skip
    return render(request, "portal/look/look.html", context, status=422 if refused else 200)
