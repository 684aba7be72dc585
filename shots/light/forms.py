"""The form of a shot's light."""

from django import forms

from shots.fields import words
from shots.light.actions import FIELDS
from shots.light.models import Light


class LightForm(forms.ModelForm):  # type: ignore[type-arg]
    class Meta:
        model = Light
        fields = FIELDS
        formfield_callback = words
