"""The form of a change on set."""

import re
from datetime import datetime
from typing import Any

from django import forms
from django.utils import timezone

from portal.changes.pivot_queries import NOTHING, OnSet
from portal.people.models import Member

NOBODY = "nobody"
_LONGEST_WHAT = 1000  # as the table has it
_TOKEN = re.compile(r"[\w-]{16,64}")
_NO_PHOTO = "There is no photo yet. Take one, or say that there is nothing to photograph."
_WHO = "Choose who agrees, or that no signer is here."
_ANOTHER = "This was written by somebody else than who is signed in now. Nothing was recorded: it waits for its writer."


class PivotForm(forms.Form):
    """Photo, a sentence, who is present and who agrees; and which part of the brief it is about."""

    photo = forms.FileField(
        label="Photo",
        required=False,
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
        error_messages={"empty": "This photo is empty: 0 bytes arrived. Take it again."},
    )
    without_photo = forms.BooleanField(label="There is nothing to photograph", required=False)
    what = forms.CharField(
        label="What is different from now on",
        max_length=_LONGEST_WHAT,
        widget=forms.Textarea(attrs={"rows": 2, "enterkeyhint": "done", "autocapitalize": "sentences"}),
        error_messages={
            "required": "Say in a sentence what is different from now on.",
            "max_length": f"{_LONGEST_WHAT} characters at most: say what is different, and the rest in a comment.",
        },
    )
    present = forms.MultipleChoiceField(
        label="Who is here",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "Somebody ticked is no longer in the campaign. Write their name instead."},
    )
    others = forms.CharField(label="And who else, with commas between", required=False, max_length=600)
    agrees = forms.ChoiceField(
        label="Who agrees",
        widget=forms.RadioSelect,
        error_messages={
            "required": _WHO,
            "invalid_choice": "Who was chosen can no longer sign. Choose again who agrees.",
        },
    )
    shot = forms.ChoiceField(
        label="Which shot",
        required=False,
        error_messages={"invalid_choice": "That shot is not in the locked brief. Choose again, or none."},
    )
    about = forms.ChoiceField(
        label="It changes",
        required=False,
        error_messages={"invalid_choice": "Choose what it changes from those given."},
    )
    sent_as = forms.CharField(widget=forms.HiddenInput, required=False)
    happened_at = forms.CharField(widget=forms.HiddenInput, required=False)
    account = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, by: Member, here: OnSet, data: Any = None, files: Any = None, **more: Any) -> None:
        super().__init__(data, files, auto_id="on_set_%s", **more)
        self.by, self.here = by, here
        choices = {
            "present": [(one.key, str(one.user)) for one in here.people],
            "agrees": [
                *((one.key, _agrees(one, by)) for one in here.signers),
                *(
                    (f"{one.key}/{signer.key}", f"{_agrees(one, by)}, for {signer.user}")
                    for one, signer in here.stand_ins
                ),
                (NOBODY, "No signer is here"),
            ],
            "shot": [("", "All shots"), *here.shots],
            "about": [*((one.word, one.label) for one in here.about), (NOTHING, "nothing of these")],
        }
        for name, chosen in choices.items():
            self.fields[name].choices = chosen  # type: ignore[attr-defined]

    def clean_sent_as(self) -> str:
        token = str(self.cleaned_data["sent_as"])
        if not _TOKEN.fullmatch(token):
            raise forms.ValidationError(
                "This form has lost its token. Load the page again; what you wrote is still here."
            )
        return token

    def clean_account(self) -> str:
        """An entry that waited on a phone is never recorded under the name of who is signed in there now."""
        if self.cleaned_data["account"] not in ("", self.by.key):
            raise forms.ValidationError(_ANOTHER)
        return str(self.cleaned_data["account"])

    def clean_happened_at(self) -> datetime:
        """When it was sent on the phone; now, where the phone did not say or its clock is ahead."""
        now = timezone.now()
        try:
            told = datetime.fromisoformat(self.cleaned_data["happened_at"])
        except ValueError:
            return now
        return min(told, now) if timezone.is_aware(told) else now

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if not data.get("photo") and not data.get("without_photo") and "photo" not in self.errors:
            self.add_error("photo", _NO_PHOTO)
        return data

    @property
    def told(self) -> dict[str, Any]:
        """What the act takes."""
        data = self.cleaned_data
        agrees, _, signer = ("" if data["agrees"] == NOBODY else data["agrees"]).partition("/")
        section = next((one.section for one in self.here.about if one.word == data["about"]), "")
        return {
            "photo": data["photo"],
            "what": data["what"],
            "present": data["present"],
            "guests": re.split(r"[,;\n]", data["others"]),
            "agrees": agrees,
            "agrees_for": signer,
            "opens": [[section, data["shot"]]] if section else [],
            "sent_as": data["sent_as"],
            "happened_at": data["happened_at"],
        }


def _agrees(signer: Member, by: Member) -> str:
    return "I agree" if signer.pk == by.pk else str(signer.user)
