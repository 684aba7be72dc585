"""Forms of the brief."""

from typing import Any

from django import forms

from portal.brief.actions import TERMS
from portal.brief.models import Campaign
from portal.people.languages import read_tags


class TermsForm(forms.ModelForm):  # type: ignore[type-arg]  # Django subscripts it for mypy alone
    """The campaign's terms; `cleaned_data` is what settle_terms takes."""

    languages = forms.CharField(
        label="Languages of the layouts",
        max_length=300,
        help_text="Language tags in the order in which they are ordered, with spaces between them, such as en-GB cy. "
        "A new one orders every format in it; one taken out keeps its files.",
    )

    class Meta:
        model = Campaign
        fields = TERMS
        labels = {
            "about": "What the pictures are for",
            "period": "Period of use",
            "round_price": "What a further round costs",
            "sign_in_order": "The agency signs before the client",
            "least_contrast": "Least contrast of type",
            "hero_overlap": "Most of the hero that a layout may cover",
        }
        help_texts = {
            "title": "As it stands at the head of every page and list.",
            "agency": "Leave it empty when the client orders directly.",
            "media": "Such as: roadside posters and street screens.",
            "territory": "Such as: United Kingdom and Ireland.",
            "period": "Such as: twelve weeks from 4 May 2027.",
            "rounds_included": "Two is common practice. A version put forward past that says so before it is sent.",
            "round_price": "Amount and currency, as it will be billed. Shown to those who see the estimate alone.",
            "sign_in_order": "The client is asked once the agency has signed. The photographer may sign at any time.",
            "least_contrast": "From 1 (none) to 21 (black on white). Large type reads well from 3, small type from "
            "4.5. A layout with type under this must be mended, or waived by a signer.",
            "hero_overlap": "Of the hero zone, by type and graphics together. A layout that covers more must be "
            "mended, or waived by a signer.",
        }
        widgets = {"about": forms.Textarea(attrs={"rows": 4})}

    def __init__(self, data: Any = None, *, instance: Campaign, sees_price: bool = False) -> None:
        super().__init__(data, instance=instance)
        if not sees_price:
            del self.fields["round_price"]
        self.initial["languages"] = " ".join(instance.languages)

    def clean_languages(self) -> list[str]:
        return read_tags(self.cleaned_data["languages"].replace(",", " ").replace(";", " ").split())

    def clean_rounds_included(self) -> int:
        rounds: int = self.cleaned_data["rounds_included"]
        if rounds > 20:
            raise forms.ValidationError(
                "More than twenty rounds of amends is no limit at all. Say how many are paid for."
            )
        return rounds

    def _post_clean(self) -> None:
        """Leave the instance as it is: the act changes it, under the campaign's lock, and checks it again."""


class PutForwardForm(forms.Form):
    """What the signers read first, and the digest of the draft as it was read."""

    note = forms.CharField(
        label="A word to the signers",
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="What is new since they last looked, and when you need their answer.",
    )
    digest = forms.RegexField(r"^[0-9a-f]{64}$", widget=forms.HiddenInput)
    # The number that the version will have: sent again, a form makes no second one.
    number = forms.IntegerField(required=False, min_value=1, widget=forms.HiddenInput)


class WithdrawForm(forms.Form):
    reason = forms.CharField(
        label="Why it is withdrawn",
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="The signers read it. The brief is then open for editing again.",
        error_messages={"required": "Say why it is withdrawn: the signers will read it."},
    )
