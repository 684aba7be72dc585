"""Forms of talk."""

from typing import Any

from django import forms

from portal import access
from portal.people.models import Member

_TEXT = {"required": "Write something first."}


class CommentForm(forms.Form):
    """A new comment: text, audience, and a place on the picture in per cent of its width and height."""

    text = forms.CharField(
        label="What you want to say", max_length=4000, widget=forms.Textarea(attrs={"rows": 3}), error_messages=_TEXT
    )
    # Nothing is chosen beforehand where there is a choice: what is meant for few must not go to all by oversight.
    audience = forms.ChoiceField(
        label="Who reads it",
        widget=forms.RadioSelect,
        help_text="It cannot be changed later, and answers are read by the same people.",
        error_messages={"required": "Choose who reads it.", "invalid_choice": "Choose who reads it, from those given."},
    )
    pin_x = forms.FloatField(label="Place from the left", required=False, min_value=0, max_value=100)
    pin_y = forms.FloatField(label="Place from the top", required=False, min_value=0, max_value=100)

    def __init__(self, by: Member, data: Any = None, *, prefix_id: str = "comment") -> None:
        super().__init__(data, auto_id=f"id_{prefix_id}_%s")
        audiences = access.audiences(by)
        self.fields["audience"].choices = [(a, a.label) for a in audiences]  # type: ignore[attr-defined]
        if len(audiences) == 1:
            self.fields["audience"].widget = forms.HiddenInput()
            self.fields["audience"].initial = audiences[0]
        self.alone = audiences[0].label if len(audiences) == 1 else ""

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        x, y = data.get("pin_x"), data.get("pin_y")
        if (x is None) != (y is None) and not (self.errors.keys() & {"pin_x", "pin_y"}):
            self.add_error(None, "A place on the picture needs both numbers: from the left and from the top.")
        data["pin"] = (x / 100, y / 100) if x is not None and y is not None else None
        return data


class AnswerForm(forms.Form):
    text = forms.CharField(
        label="Your answer", max_length=4000, widget=forms.Textarea(attrs={"rows": 2}), error_messages=_TEXT
    )
