"""Forms of those who sign."""

from collections.abc import Iterable
from dataclasses import dataclass

from django import forms
from django.urls import reverse

from portal.brief.models import Campaign, Version
from portal.sealing.name_field import name_field
from portal.sealing.signatures import Place

_DIGEST = r"^[0-9a-f]{64}$"


class SignForm(forms.Form):
    """Signing: the name as typed, and the digest that was on the page."""

    typed_name = name_field(
        "Typed as you sign. It is kept with the digest and the time.",
        missing="Type your name as you sign.",
    )
    digest = forms.RegexField(_DIGEST, widget=forms.HiddenInput)


class DeclineForm(SignForm):
    """Declining: as signing, and what would have to change."""

    field_order = ("reason", "typed_name", "digest")
    reason = forms.CharField(
        label="What would have to change",
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Everyone in the campaign reads it. The brief is then open for editing again.",
        error_messages={"required": "Say what would have to change for you to sign."},
    )


@dataclass(frozen=True)
class Answering:
    """What one signature that a reader may give needs on a page: its two forms and where they go."""

    place: Place
    sign: SignForm
    decline: DeclineForm
    sign_url: str
    decline_url: str

    @property
    def whose(self) -> str:
        """ "" for the reader's own, " for Jon Field" for somebody's in whose place they answer."""
        return "" if self.place.own else f" for {self.place.signer.name}"


def answering(
    version: Version, campaign: Campaign, places: Iterable[Place], *, key: str = "", sent: SignForm | None = None
) -> list[Answering]:
    """The forms for each place; `sent` is the one that was refused, of the signer with this key."""
    found = []
    for place in places:
        signer = place.signer.key
        given = sent if signer == key else None
        first = {"digest": version.digest}
        sign = given if type(given) is SignForm else SignForm(initial=first, auto_id=form_id("sign", signer))
        decline = given if isinstance(given, DeclineForm) else None
        decline = decline or DeclineForm(initial=first, auto_id=form_id("decline", signer))
        args, ending = [campaign.key, version.number], ""
        if not place.own:
            args, ending = [*args, signer], "-for"
        urls = [reverse(f"portal:{word}{ending}", args=args) for word in ("sign", "decline")]
        found.append(Answering(place, sign, decline, *urls))
    return found


def form_id(word: str, key: str) -> str:
    """Pattern of the ids of a form's fields: a page may have forms of several signers."""
    return f"{word}_{key}_%s"
