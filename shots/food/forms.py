"""The form of hero food."""

from typing import Any

from django import forms

from shots.fields import words
from shots.food.actions import FIELDS
from shots.food.allergens import NAMES
from shots.food.models import HeroFood


class FoodForm(forms.ModelForm):  # type: ignore[type-arg]
    """`allergens` is a list of codes, [] when it was said that there are none, None while nothing was said."""

    allergens = forms.MultipleChoiceField(
        choices=list(NAMES.items()),
        required=False,
        widget=forms.CheckboxSelectMultiple(attrs={"class": "columns"}),
        label="Allergens",
    )
    none_of_them = forms.BooleanField(required=False, label="It was checked: none of the fourteen")

    belongs = {"none_of_them": "allergens"}

    class Meta:
        model = HeroFood
        fields = FIELDS
        formfield_callback = words

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial["none_of_them"] = self.instance.allergens == []

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        none, some = data.pop("none_of_them", False), data.get("allergens")
        if none and some:
            self.add_error("allergens", "You ticked allergens and also that there are none. Untick what is wrong.")
        elif not some:
            data["allergens"] = [] if none else None
        return data
