"""Forms of changes: raising one, deciding, withdrawing."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Any

from django import forms
from django.urls import reverse

from portal.changes.actions import LONGEST
from portal.changes.models import Change
from portal.changes.places import OF_A_SHOT, Offer, Shot
from portal.people.models import Member
from portal.sealing.name_field import name_field

_MONEY = ("money", "currency")


def _text(label: str, name: str, help_text: str = "", rows: int = 2, **more: Any) -> forms.CharField:
    area = forms.Textarea(attrs={"rows": rows})
    return forms.CharField(label=label, max_length=LONGEST[name], widget=area, help_text=help_text, **more)


def _hours(label: str) -> forms.DecimalField:
    number = forms.NumberInput(attrs={"inputmode": "decimal", "step": "0.25", "min": "0"})
    return forms.DecimalField(label=label, required=False, min_value=0, max_digits=6, decimal_places=2, widget=number)


@dataclass(frozen=True)
class Box:
    """One place to be ticked: its value in the form, its label, whether it is ticked, its id on the page."""

    value: str
    label: str
    ticked: bool

    @property
    def id(self) -> str:
        return f"opens-{self.value.replace('/', '-')}"


@dataclass(frozen=True)
class Group:
    """The places of one shot, or the whole sections."""

    title: str
    boxes: list[Box]

    @property
    def ticked(self) -> bool:
        return any(box.ticked for box in self.boxes)


class RaiseForm(forms.Form):
    """A change to be raised; `told` is what the act takes."""

    what = _text(
        "What shall be different",
        "what",
        "In a sentence, such as: the tumbler of shot 2 is amber glass instead of clear.",
        error_messages={"required": "Say in a sentence what shall be different."},
    )
    why = _text("Why", "why", error_messages={"required": "Say why: whoever decides was perhaps not there."})
    asked_by = forms.CharField(
        label="Who asked for it",
        max_length=160,
        help_text="By name; it may be somebody who is not in this campaign.",
        error_messages={"required": "Say who asked for it, by name."},
    )
    opens = forms.MultipleChoiceField(
        label="What it opens",
        required=False,
        error_messages={"invalid_choice": "One of the places to be opened is not in the locked version."},
    )
    hours_low = _hours("Fewest")
    hours_likely = _hours("Likely")
    hours_high = _hours("Most")
    money = forms.DecimalField(
        label="Amount",
        required=False,
        max_digits=12,
        decimal_places=2,
        widget=forms.NumberInput(attrs={"inputmode": "decimal", "step": "0.01"}),
        help_text="More is positive, a saving negative. Read by who may see the estimate, and by nobody else.",
    )
    currency = forms.CharField(
        label="Currency", required=False, max_length=3, help_text="Three letters, such as GBP or EUR (ISO 4217)."
    )
    retouching = _text("Retouching", "retouching", "What it adds there, or saves.", required=False)
    plates = _text("Plates", "plates", "Extra captures that the retoucher needs for it.", required=False)
    lists = _text("Lists", "lists", "What is to be bought, hired or cooked otherwise.", required=False)

    def __init__(
        self,
        data: Any = None,
        *,
        offers: Iterable[Offer],
        shots: Iterable[Shot],
        money: bool,
        ticked: Collection[str] = (),
    ) -> None:
        super().__init__(data, initial={"opens": list(ticked)})
        self._offers, self._shots = list(offers), list(shots)
        if not money:
            for name in _MONEY:
                del self.fields[name]
        of_shots = [f"{offer.section}/{shot.key}" for shot in self._shots for offer in self._offers if offer.by_shot]
        places = [*(f"{offer.section}/" for offer in self._offers), *of_shots]
        self.fields["opens"].choices = [(place, place) for place in places]  # type: ignore[attr-defined]

    def groups(self) -> list[Group]:
        """The places to be ticked: whole sections first, then shot by shot."""
        ticked = set(self["opens"].value() or ())

        def box(section: str, shot: str, label: str) -> Box:
            return Box(f"{section}/{shot}", label, f"{section}/{shot}" in ticked)

        whole = [box(o.section, "", f"all {o.title.lower()}" if o.by_shot else o.title.lower()) for o in self._offers]
        groups = [Group("The whole of", whole)]
        for shot in self._shots:
            boxes = [
                box(o.section, shot.key, OF_A_SHOT.get(o.section, o.title.lower())) for o in self._offers if o.by_shot
            ]
            groups.append(Group(f"Shot {shot.number}, {shot.title}", boxes))
        return groups

    @property
    def told(self) -> dict[str, Any]:
        """What raise_change takes."""
        told = dict(self.cleaned_data)
        told["opens"] = [tuple(place.split("/", 1)) for place in told["opens"]]
        return told


class AcceptForm(forms.Form):
    """Accepting: the name as typed, and a word if there is one to say."""

    typed_name = name_field(
        "Typed as you decide. It is kept with the time, and the decision is final.",
        missing="Type your name as you decide.",
    )
    why = _text("A word to it", "decided_why", required=False)


class RefuseForm(AcceptForm):
    """Refusing: as accepting, with a reason."""

    field_order = ("why", "typed_name")
    why = _text(
        "Why it is refused",
        "decided_why",
        "Everyone who reads the draft reads it.",
        error_messages={"required": "Say why it is refused: whoever asked will read it."},
    )


class Deciding:
    """What one decision that a reader may give needs on a page: its two forms and where they go.

    `away`: the signer in whose place it is given, None for the reader's own; `accept` or `refuse`: the one refused.
    """

    def __init__(
        self,
        change: Change,
        away: Member | None,
        accept: forms.Form | None = None,
        refuse: forms.Form | None = None,
        **_: forms.Form,
    ) -> None:
        key = away.key if away else ""
        self.whose = f" for {away.user}" if away else ""
        self.accept = accept or AcceptForm(auto_id=form_id("accept", key))
        self.refuse = refuse or RefuseForm(auto_id=form_id("refuse", key))
        args, ending = [change.campaign.key, change.key], ""
        if away:
            args, ending = [*args, key], "-for"
        self.accept_url, self.refuse_url = (
            reverse(f"portal:{word}-change{ending}", args=args) for word in ("accept", "refuse")
        )
        self.id = f"decide-{key}" if key else "decide"


def form_id(word: str, key: str) -> str:
    """Pattern of the ids of a form's fields: a page may have forms for several signers."""
    return f"{word}_{key}_%s" if key else f"{word}_%s"


class WithdrawForm(forms.Form):
    """Taking a change back that nobody has decided."""

    why = _text("Why it is taken back", "decided_why", required=False)
