"""The form of a waiver."""

from django import forms

from portal.sealing.name_field import name_field
from portal.waivers.actions import LONGEST


class WaiveForm(forms.Form):
    """Why, the name as typed, and what exactly was read: the finding's whole key."""

    reason = forms.CharField(
        label="Why the brief can be locked all the same",
        max_length=LONGEST,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="It stands in the brief with your name, and everybody who signs reads it.",
        error_messages={"required": "Say why the brief can be locked all the same: everybody who signs reads it."},
    )
    typed_name = name_field(
        "Typed, as when you sign.",
        missing="Type your name: a waiver is given by name.",
    )
    finding = forms.RegexField(r"^[0-9a-f]{64}$", widget=forms.HiddenInput)
