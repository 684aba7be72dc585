"""The form of a signer who will be away."""

from typing import Any

from django import forms
from django.utils.timezone import localdate

from portal.delegation import queries
from portal.people.models import Member


def _date(label: str, **more: Any) -> forms.DateField:
    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    wrong = "Write a day as 2027-05-03."
    return forms.DateField(label=label, widget=widget, error_messages={"required": wrong, "invalid": wrong}, **more)


class DelegateForm(forms.Form):
    """Who signs, and on which days. `cleaned_data` is what `delegate` takes."""

    to = forms.ChoiceField(
        label="Who signs for you",
        help_text=(
            "Anybody of your side. They sign what they may read, and the signature says so. "
            "Where you decide changes, whoever may read the estimate decides them for you too."
        ),
        error_messages={
            "required": "Choose who signs for you.",
            "invalid_choice": "Choose somebody of your own side who is in the campaign.",
        },
    )
    first_day = _date("First day", help_text="That day is included.")
    last_day = _date("Last day", help_text="That day too. At most 60 days.")

    def __init__(self, signer: Member, data: Any = None) -> None:
        super().__init__(data, initial={"first_day": localdate()})
        people = [(one.key, f"{one.user}, {one.get_role_display().lower()}") for one in queries.may_be_asked(signer)]
        self.people = people
        self.fields["to"].choices = [("", "Choose"), *people]  # type: ignore[attr-defined]
