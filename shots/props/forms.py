"""The form of a prop."""

from django import forms

from shots.fields import words
from shots.props.actions import FIELDS
from shots.props.models import Prop


class PropForm(forms.ModelForm):  # type: ignore[type-arg]
    class Meta:
        model = Prop
        fields = FIELDS
        formfield_callback = words
