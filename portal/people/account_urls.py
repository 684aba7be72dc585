"""Account pages below /account/: those of allauth that we serve, under the names that it looks for; no others.

Left out: adding further e-mail addresses (an account has one), confirming them, a page of its own to ask for a code.
"""

from collections.abc import Callable
from functools import wraps
from typing import Any

from allauth.account import views as account
from allauth.mfa.base import views as mfa
from allauth.mfa.recovery_codes import views as recovery
from allauth.mfa.totp import views as totp
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import path, re_path
from django.views.decorators.cache import never_cache
from django.views.generic import RedirectView

CODE_GONE = "That code has been used or is more than ten minutes old. Have a new one sent."


def says_422(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Answer a refused form with 422, as every page of ours does."""

    @wraps(view)
    def answered(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        response = view(request, *args, **kwargs)
        form = (getattr(response, "context_data", None) or {}).get("form")
        if request.method == "POST" and response.status_code == 200 and form is not None and form.errors:
            response.status_code = 422
        return response

    return answered


class EnterCode(account.ConfirmLoginCodeView):
    """Type the code that came by e-mail; one that is gone is said to be, instead of a silent way back."""

    _process: Any = None

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> Any:
        response = super().dispatch(request, *args, **kwargs)
        if self._process is None and request.user.is_anonymous:
            messages.error(request, CODE_GONE)
        return response

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        words: dict[str, Any] = super().get_context_data(**kwargs)
        return words | {"says": f"It was sent to {words['email']}."}


_later = {"query_string": True, "permanent": False}
urlpatterns = [
    path("login/", says_422(account.login), name="account_login"),
    path(
        "login/code/", RedirectView.as_view(pattern_name="account_login", **_later), name="account_request_login_code"
    ),
    path("login/code/confirm/", says_422(EnterCode.as_view()), name="account_confirm_login_code"),
    path("logout/", account.logout, name="account_logout"),
    path("inactive/", account.account_inactive, name="account_inactive"),
    # allauth links to it; it says that nobody signs up without an invitation.
    path("signup/", account.signup, name="account_signup"),
    path("confirm/", says_422(account.reauthenticate), name="account_reauthenticate"),
    path("password/change/", says_422(account.password_change), name="account_change_password"),
    path("password/set/", says_422(account.password_set), name="account_set_password"),
    path("password/reset/", says_422(account.password_reset), name="account_reset_password"),
    path("password/reset/sent/", account.password_reset_done, name="account_reset_password_done"),
    path(
        "password/reset/done/",
        account.password_reset_from_key_done,
        name="account_reset_password_from_key_done",
    ),
    re_path(
        r"^password/reset/(?P<uidb36>[0-9A-Za-z]+)-(?P<key>.+)/$",
        says_422(account.password_reset_from_key),
        name="account_reset_password_from_key",
    ),
    path("second-step/", mfa.index, name="mfa_index"),
    path("second-step/enter/", says_422(mfa.authenticate), name="mfa_authenticate"),
    path("second-step/confirm/", says_422(mfa.reauthenticate), name="mfa_reauthenticate"),
    path("second-step/on/", says_422(totp.activate_totp), name="mfa_activate_totp"),
    path("second-step/off/", says_422(totp.deactivate_totp), name="mfa_deactivate_totp"),
    path("second-step/codes/", never_cache(recovery.view_recovery_codes), name="mfa_view_recovery_codes"),
    path("second-step/codes/new/", says_422(recovery.generate_recovery_codes), name="mfa_generate_recovery_codes"),
    path("second-step/codes/file/", recovery.download_recovery_codes, name="mfa_download_recovery_codes"),
]
