"""Fields of forms, with sentences that say what to do."""

from typing import Any

from django import forms
from django.core.validators import MinValueValidator
from django.db import models

NUMBER = "Give a whole number, such as 3."
DATE = "Give a date, such as 2027-01-31."


def words(field: "models.Field[Any, Any]", **options: Any) -> Any:
    """The form's field for a model's field: dates by the browser's own picker, texts as tall as they need."""
    made = field.formfield(**options)
    if made is None:
        return None
    if isinstance(made, forms.DateField):
        made.widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
        made.error_messages["invalid"] = DATE
    elif isinstance(made, forms.IntegerField):
        least = [one for one in field.validators if isinstance(one, MinValueValidator) and one.limit_value]
        # The form's message of this code would stand before the model's own.
        says = str(least[0].message) if least else "Give 0 or more."
        made.error_messages |= {"invalid": NUMBER, "required": NUMBER, "min_value": says}
        made.widget.attrs["inputmode"] = "numeric"
    elif isinstance(made.widget, forms.Textarea):
        made.widget.attrs["rows"] = 3
    return made
