"""How allauth is told our rules: nobody signs up without an invitation, and addresses come from the settings."""

from io import BytesIO
from typing import Any, ClassVar
from urllib.parse import quote

import segno
from allauth.account.adapter import DefaultAccountAdapter
from allauth.core import context
from allauth.mfa.adapter import DefaultMFAAdapter
from django.conf import settings
from django.contrib.auth.base_user import AbstractBaseUser
from django.http import HttpRequest
from django.urls import reverse

WRONG_CODE = "That is not the code. Look at the newest one, and type it again."


class Adapter(DefaultAccountAdapter):
    error_messages: ClassVar[dict[str, Any]] = DefaultAccountAdapter.error_messages | {
        "email_password_mismatch": "E-mail and password do not belong together. Try again, or have a code sent.",
        "incorrect_code": WRONG_CODE,
        "incorrect_password": "That is not your password.",
        "enter_current_password": "That is not your present password.",
        "too_many_login_attempts": "Too many tries. Wait five minutes, then try again.",
        "rate_limited": "That was asked for too often. Wait a minute and try again.",
    }

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        return False

    def get_password_change_redirect_url(self, request: HttpRequest) -> str:
        return reverse("portal:me")

    def get_reset_password_from_key_url(self, key: str) -> str:
        """The link in the mail; never from the request's Host header, which a stranger may choose."""
        path = reverse("account_reset_password_from_key", kwargs={"uidb36": "UID", "key": "KEY"})
        return settings.ADDRESS + path.replace("UID-KEY", quote(key))

    def send_mail(self, template_prefix: str, email: str, context: dict[str, Any]) -> None:
        super().send_mail(template_prefix, email, {"address": settings.ADDRESS} | context)

    def reauthenticate(self, user: AbstractBaseUser, password: str) -> bool:
        found = self.authenticate(context.request, email=user.email, password=password)  # type: ignore[attr-defined]
        return found is not None and found.pk == user.pk


class SecondFactor(DefaultMFAAdapter):
    error_messages: ClassVar[dict[str, Any]] = DefaultMFAAdapter.error_messages | {
        "incorrect_code": "That is not the code. Take the one that your app shows now.",
        "cannot_delete_authenticator": "The second step cannot be switched off.",
        "cannot_generate_recovery_codes": "Switch on the second step first: recovery codes belong to it.",
    }

    def get_totp_issuer(self) -> str:
        return "Brieflock"

    def build_totp_svg(self, url: str) -> str:
        # Dark on white with its quiet zone on either ground: cameras do not read it the other way round.
        svg = BytesIO()
        segno.make(url, error="m").save(svg, kind="svg", scale=4, border=4, light="#fff", xmldecl=False)
        return svg.getvalue().decode()
