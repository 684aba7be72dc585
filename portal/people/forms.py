"""Forms about people and the start of a campaign."""

import re
from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from portal import access
from portal.access import Role
from portal.brief.models import Campaign
from portal.people.account_forms import NEW_PASSWORD
from portal.people.addresses import Person, read_people
from portal.people.languages import NAMES, read_tags
from portal.people.models import Invitation, Member, User

STARTERS = (Role.AGENCY, Role.PRODUCER, Role.PHOTOGRAPHER)


class StartForm(forms.ModelForm):  # type: ignore[type-arg]  # Django subscripts it for mypy alone
    """A new campaign and its terms. `cleaned_data` is what start_campaign takes."""

    languages = forms.MultipleChoiceField(
        label="Languages", choices=list(NAMES.items()), required=False, widget=forms.CheckboxSelectMultiple
    )
    more_languages = forms.CharField(
        label="Further languages",
        required=False,
        max_length=300,
        help_text="Language tags with spaces between them, such as gsw-CH or zh-Hant.",
    )
    role = forms.ChoiceField(
        label="Your own role in it", choices=[(role, role.label) for role in STARTERS], widget=forms.RadioSelect
    )
    may_sign = forms.BooleanField(
        label="I may sign for the agency",
        required=False,
        help_text="A photographer always signs; a shoot producer never does.",
    )

    class Meta:
        model = Campaign
        fields = ("title", "code", "client", "agency", "about", "media", "territory", "period", "rounds_included")
        labels = {"title": "Title", "code": "Code", "client": "Client", "agency": "Agency, if there is one"} | {
            "about": "What the pictures are for",
            "media": "Media",
            "territory": "Territory",
            "period": "Period of use",
            "rounds_included": "Rounds of amends included",
        }
        help_texts = {
            "title": "As it will stand at the head of every page and list.",
            "code": "Short, as people say it aloud, such as OAT-27.",
            "about": "Two or three sentences: what is sold, to whom, and what the posters must do.",
            "media": "Such as: roadside posters and street screens.",
            "territory": "Such as: United Kingdom and Ireland.",
            "period": "Such as: twelve weeks from 4 May 2027.",
            "rounds_included": "Two is common practice. A version put forward past that says so.",
        }
        error_messages = {
            "title": {"required": "Give it a title."},
            "code": {"required": "Give it a short code.", "unique": "That code is taken. Choose another."},
            "client": {"required": "Say who the client is."},
            "rounds_included": {"required": "Say how many rounds are paid for."},
        }
        widgets = {"about": forms.Textarea(attrs={"rows": 4})}

    def clean_title(self) -> str:
        return " ".join(self.cleaned_data["title"].split())

    def clean_code(self) -> str:
        code = "".join(self.cleaned_data["code"].split()).upper()
        if not re.fullmatch(r"[A-Z0-9][A-Z0-9.-]*", code):
            raise ValidationError("Use letters, figures, dots and dashes alone, such as OAT-27.")
        return code

    def clean_rounds_included(self) -> int:
        rounds: int = self.cleaned_data["rounds_included"]
        if rounds > 20:
            raise ValidationError("More than twenty rounds of amends is no limit at all. Say how many are paid for.")
        return rounds

    def clean_more_languages(self) -> list[str]:
        return read_tags(self.cleaned_data["more_languages"].replace(",", " ").replace(";", " ").split())

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        chosen = data.get("languages", [])
        if "more_languages" in data:
            tags = [*chosen, *(tag for tag in data.pop("more_languages") if tag not in chosen)]
            data["languages"] = tags
            if not tags and "languages" not in self.errors:
                self.add_error("languages", "Choose at least one: every layout is ordered in a language.")
        if data.get("may_sign") and data.get("role") not in access.roles_that_may_sign():
            # The help text says so; what the role settles is not worth a refusal.
            data["may_sign"] = False
        return data


def _role_choices(by: Member) -> list[tuple[str, str]]:
    return [(role, role.label) for role in access.invitable_roles(by)]


class InviteForm(forms.Form):
    """People to invite in one role."""

    people = forms.CharField(
        label="Who",
        widget=forms.Textarea(attrs={"rows": 3, "spellcheck": "false", "autocomplete": "off"}),
        max_length=8000,
        help_text="One person a line: a name and an e-mail address, such as Ida Moss <ida@example.com>.",
        error_messages={"required": "Write at least one e-mail address, one person a line."},
    )
    role = forms.ChoiceField(label="As")
    may_sign = forms.BooleanField(
        label="They may sign",
        required=False,
        help_text="For clients and agency producers. A photographer always signs.",
    )

    def __init__(self, by: Member, data: Any = None) -> None:
        super().__init__(data)
        self.fields["role"].choices = _role_choices(by)  # type: ignore[attr-defined]

    def clean_people(self) -> list[Person]:
        return read_people(self.cleaned_data["people"])


class SeatForm(forms.Form):
    """What one member does, and whether they may sign."""

    role = forms.ChoiceField(label="Role")
    may_sign = forms.BooleanField(
        label="May sign", required=False, help_text="For clients and agency producers. A photographer always signs."
    )

    def __init__(self, by: Member, member: Member, data: Any = None) -> None:
        super().__init__(data, initial={"role": member.role, "may_sign": member.may_sign}, prefix=member.key)
        self.fields["role"].choices = _role_choices(by)  # type: ignore[attr-defined]


class JoinForm(forms.Form):
    """A new account for somebody who was invited."""

    name = forms.CharField(
        label="Your name",
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
        help_text="As you sign it. It stands beside what you say here.",
        error_messages={"required": "Write your name."},
    )
    password = forms.CharField(
        label="Password",
        required=False,
        strip=False,
        max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text=f"Without one, a code comes by e-mail each time you sign in. {NEW_PASSWORD}",
    )

    def __init__(self, invitation: Invitation, data: Any = None) -> None:
        super().__init__(data, initial={"name": invitation.name})
        self.invitation = invitation

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if password := data.get("password"):
            try:
                validate_password(password, User(email=self.invitation.email, name=data.get("name", "")))
            except ValidationError as refusal:
                self.add_error("password", refusal)
        return data


class MeForm(forms.Form):
    """A person's own settings."""

    name = forms.CharField(
        label="Your name",
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
        error_messages={"required": "Write your name."},
    )
    ground = forms.ChoiceField(
        label="Ground of the pages",
        choices=[
            ("device", "As this device has it"),
            ("light", "Light, for the office"),
            ("dark", "Dark, for the set"),
        ],
        widget=forms.RadioSelect,
        help_text="Kept on this device alone.",
    )
