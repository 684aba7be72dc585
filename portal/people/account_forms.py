"""Forms of the account pages, in our words; allauth keeps their checks."""

from typing import Any

from allauth.account import forms as account
from allauth.mfa.base import forms as mfa
from allauth.mfa.totp import forms as totp
from django import forms

from portal.site.sentences import digest_groups

NEW_PASSWORD = "At least ten characters, not one that many people use, and not your name or address."  # noqa: S105  help

_REQUIRED = {
    "login": "Write your e-mail address.",
    "email": "Write your e-mail address.",
    "password": "Type your password.",
    "oldpassword": "Type your present password.",
    "password1": "Type the new password.",
    "password2": "Type it a second time.",
    "code": "Type the code.",
}


def _say(form: forms.Form, labels: dict[str, str], helps: dict[str, str] | None = None) -> None:
    """Our labels and help, and no placeholders: they go when one types, and are too pale to read."""
    for name, field in form.fields.items():
        field.widget.attrs.pop("placeholder", None)
        field.label = labels.get(name, field.label)
        field.help_text = (helps or {}).get(name, "")
        field.error_messages["required"] = _REQUIRED.get(name, "Fill this in.")


class SignInForm(account.LoginForm):
    """The one sign-in form. An empty password asks for a code, whichever button was pressed; `way=code` always does."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _say(
            self,
            {"login": "E-mail", "password": "Password"},
            {"password": "Leave it empty if you have none: a code comes by e-mail."},
        )
        self.fields["password"].required = False
        self.fields["login"].widget.attrs |= {"autocomplete": "username", "autofocus": True}
        if self.request and not self.is_bound:
            self.fields["login"].initial = self.request.GET.get("email", "")

    def clean_password(self) -> str:
        return "" if self.data.get("way") == "code" else self.cleaned_data["password"]


class CodeForm(account.ConfirmLoginCodeForm):
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _say(self, {"code": "Code"})
        self.fields["code"].widget.attrs |= {"autofocus": True, "autocapitalize": "characters", "spellcheck": "false"}


class AskResetForm(account.ResetPasswordForm):
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _say(self, {"email": "E-mail"})


class ResetForm(account.ResetPasswordKeyForm):
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _say(self, {"password1": "New password", "password2": "The same again"}, {"password1": NEW_PASSWORD})


class SetPasswordForm(account.SetPasswordForm):
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _say(self, {"password1": "Password", "password2": "The same again"}, {"password1": NEW_PASSWORD})


class ChangePasswordForm(account.ChangePasswordForm):
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _say(
            self,
            {"oldpassword": "Present password", "password1": "New password", "password2": "The new one again"},
            {"password1": NEW_PASSWORD},
        )


class ReauthenticateForm(account.ReauthenticateForm):
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _say(self, {"password": "Password"})


class SecondStepForm(mfa.AuthenticateForm):
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _say(self, {"code": "Code"}, {"code": "The six figures in your app, or one of your recovery codes."})
        self.fields["code"].widget.attrs |= {"autofocus": True, "inputmode": "numeric"}


class SecondStepAgainForm(mfa.ReauthenticateForm):
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _say(self, {"code": "Code"}, {"code": "The six figures in your app, or one of your recovery codes."})


class SecondStepOnForm(totp.ActivateTOTPForm):
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _say(self, {"code": "Code"}, {"code": "The six figures that the app shows now."})
        self.fields["code"].widget.attrs |= {"inputmode": "numeric"}

    @property
    def secret_in_groups(self) -> str:
        return digest_groups(self.secret)
