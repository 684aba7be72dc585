"""The form of a shot's camera."""

from django import forms

from shots.camera.actions import FIELDS
from shots.camera.models import Camera
from shots.fields import words


class CameraForm(forms.ModelForm):  # type: ignore[type-arg]
    class Meta:
        model = Camera
        fields = FIELDS
        formfield_callback = words
