"""The form of a waiver."""

from django import forms

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
    typed_name = forms.CharField(
        label="Your name",
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
        help_text="Typed, as when you sign.",
        error_messages={"required": "Type your name: a waiver is given by name."},
    )
    finding = forms.RegexField(r"^[0-9a-f]{64}$", widget=forms.HiddenInput)
