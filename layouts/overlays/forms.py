"""Forms of layout files."""

from typing import Any

from django import forms


class WindowForm(forms.Form):
    """The poster's own area in a layout file, in pixels from its upper left corner."""

    x = forms.IntegerField(label="From the left", min_value=0)
    y = forms.IntegerField(label="From the top", min_value=0)
    width = forms.IntegerField(label="Width", min_value=1)
    height = forms.IntegerField(label="Height", min_value=1)

    def window(self) -> dict[str, Any]:
        return dict(self.cleaned_data)
