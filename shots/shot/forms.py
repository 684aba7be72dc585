"""The form of a shot's texts."""

from django import forms

from shots.fields import words
from shots.shot.actions import TEXTS
from shots.shot.models import Shot


class ShotForm(forms.ModelForm):  # type: ignore[type-arg]
    class Meta:
        model = Shot
        fields = TEXTS
        formfield_callback = words
