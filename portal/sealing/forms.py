"""Forms of those who sign."""

from django import forms

_DIGEST = r"^[0-9a-f]{64}$"


class SignForm(forms.Form):
    """Signing: the name as typed, and the digest that was on the page."""

    typed_name = forms.CharField(
        label="Your name",
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
        help_text="Typed as you sign. It is kept with the digest and the time.",
        error_messages={"required": "Type your name as you sign."},
    )
    digest = forms.RegexField(_DIGEST, widget=forms.HiddenInput)


class DeclineForm(SignForm):
    """Declining: as signing, and what would have to change."""

    field_order = ("reason", "typed_name", "digest")
    reason = forms.CharField(
        label="What would have to change",
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Everyone in the campaign reads it. The brief is then open for editing again.",
        error_messages={"required": "Say what would have to change for you to sign."},
    )
