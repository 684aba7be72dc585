"""The field in which a person types their name, where what they do stands under it."""

from django import forms


def name_field(help_text: str, *, missing: str) -> forms.CharField:
    """Its help, and what is said where it was left empty."""
    return forms.CharField(
        label="Your name",
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
        help_text=help_text,
        error_messages={"required": missing},
    )
