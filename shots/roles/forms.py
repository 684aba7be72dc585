"""Forms of role answers: one for each kind of answer, so that nothing is asked for that does not belong to it."""

from typing import Any

from django import forms

from portal.models import Member
from shots.roles.models import RoleAnswer
from shots.roles.queries import Seat

Answer = RoleAnswer.Answer


class AnswerForm(forms.Form):
    """One kind of answer for one role; `answer` says which. `cleaned_data` is what its act takes."""

    answer: str = ""
    # The answer as the form's sender had it before them.
    read = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, seat: Seat, seats: list[Seat], people: list[Member], data: Any = None) -> None:
        row = seat.row if seat.row and seat.row.answer == self.answer else None
        first = {name: getattr(row, name) for name in ("name", "contact", "covered_by", "agreed_by", "reason") if row}
        if row and row.member:
            first["member"] = row.member.key
        super().__init__(data, initial=first | {"read": seat.mark}, auto_id=f"id_{seat.id}_{self.answer}_%s")
        self.choose(seat, seats, people)

    def choose(self, seat: Seat, seats: list[Seat], people: list[Member]) -> None:
        """Fill in what can be chosen."""


class NamedForm(AnswerForm):
    answer = Answer.NAMED
    member = forms.ChoiceField(label="Somebody in the campaign", required=False)
    name = forms.CharField(
        label="Or somebody else", max_length=120, required=False, help_text="Their name stands in the brief."
    )
    contact = forms.CharField(
        label="How to reach them",
        max_length=200,
        required=False,
        help_text="Telephone or e-mail. Only who may read the draft sees it here; it stands in no version and no list.",
    )

    def choose(self, seat: Seat, seats: list[Seat], people: list[Member]) -> None:
        choices = [("", "Nobody of them"), *((one.key, str(one)) for one in people)]
        self.fields["member"].choices = choices  # type: ignore[attr-defined]


class CoveredForm(AnswerForm):
    answer = Answer.COVERED
    covered_by = forms.ChoiceField(
        label="Whoever does this covers it too",
        error_messages={"required": "Choose the role that covers it.", "invalid_choice": "Choose one of the roles."},
    )

    def choose(self, seat: Seat, seats: list[Seat], people: list[Member]) -> None:
        named = [one for one in seats if one.id != seat.id and one.answer == Answer.NAMED and not one.wants]
        choices = [("", "Choose a role"), *((one.id, f"{one.title}, {', '.join(one.who)}") for one in named)]
        self.fields["covered_by"].choices = choices  # type: ignore[attr-defined]


class NotNeededForm(AnswerForm):
    answer = Answer.NOT_NEEDED
    agreed_by = forms.CharField(
        label="Agreed by", max_length=120, error_messages={"required": "Say with whom it was agreed."}
    )
    reason = forms.CharField(label="Why", max_length=300, error_messages={"required": "Say why nobody is needed."})


FORMS: tuple[type[AnswerForm], ...] = (NamedForm, CoveredForm, NotNeededForm)


class RoleForm(forms.Form):
    """A role that this job needs besides."""

    title = forms.CharField(
        label="Role",
        max_length=60,
        help_text="Such as home economist, location or medic.",
        error_messages={"required": "Say which role, such as home economist."},
    )
