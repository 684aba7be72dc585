"""Forms: how somebody wants to be told, of all campaigns and of one."""

from typing import Any

from django import forms

from portal.notices import queries
from portal.notices.models import Wish
from portal.notices.queries import Wanted

_HOW = {
    Wish.How.AT_ONCE: "At once, with what comes within a minute or two",
    Wish.How.DAILY: "Once a day, at the hour below",
    Wish.How.WAITS: "Only what waits for me to sign, decide or mend",
    Wish.How.NONE: "Not at all",
}
_CHOOSE = {"required": "Choose one of them.", "invalid_choice": "Choose one of them."}


class _WishForm(forms.Form):
    how = forms.ChoiceField(
        label="You are told", choices=list(_HOW.items()), widget=forms.RadioSelect, error_messages=_CHOOSE
    )
    hour = forms.TypedChoiceField(
        label="Hour of the day",
        choices=[(hour, f"{hour:02}:00") for hour in range(24)],
        coerce=int,
        help_text="For who is told once a day.",
        error_messages=_CHOOSE,
    )


class PersonForm(_WishForm):
    """The default of a person."""

    time_zone = forms.ChoiceField(label="Your time zone", required=False, error_messages=_CHOOSE)

    def __init__(self, wanted: Wanted, time_zone: str, data: Any = None) -> None:
        super().__init__(data, initial={"how": wanted.how, "hour": wanted.hour, "time_zone": time_zone})
        here = queries.zone_of("").key
        choices = [("", f"As the portal has it: {_place(here)}"), *((name, _place(name)) for name in queries.zones())]
        self.fields["time_zone"].choices = choices  # type: ignore[attr-defined]


class CampaignForm(_WishForm):
    """A member's wish for one campaign; "default" is as for all."""

    def __init__(self, wanted: Wanted, default: Wanted, data: Any = None) -> None:
        how = wanted.how if wanted.own else "default"
        super().__init__(data, initial={"how": how, "hour": wanted.hour})
        first = ("default", f"As for all my campaigns: {default.says}")
        self.fields["how"].choices = [first, *_HOW.items()]  # type: ignore[attr-defined]

    def clean_how(self) -> str:
        how: str = self.cleaned_data["how"]
        return "" if how == "default" else how


def _place(zone: str) -> str:
    return zone.replace("_", " ").replace("/", ", ", 1)
