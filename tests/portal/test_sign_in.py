"""Protects the way in: codes and passwords, their limits, nothing said of who has an account, and no way round."""

import re
import time

import pytest
from django.core import mail
from django.core.cache import cache
from django.urls import get_resolver

from portal.models import User
from portal.people import accounts
from portal.site import settings as site_settings

IDA = "ida@example.com"
PASSWORD = "a long enough one"
SIGN_IN, CONFIRM = "/account/login/", "/account/login/code/confirm/"


@pytest.fixture(autouse=True)
def no_earlier_tries(settings):
    """Argon2 is slow on purpose; what is tested here is not how a password is kept."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    cache.clear()


@pytest.fixture
def ida(db):
    return accounts.make_account(IDA, name="Ida Moss", password=PASSWORD)


def ask_code(client, email=IDA, **more):
    return client.post(SIGN_IN, {"login": email, "way": "code"} | more)


def code_sent():
    return re.search(r"^ {4}(\S+)$", mail.outbox[-1].body, re.MULTILINE)[1]


def signed_in(client):
    return "_auth_user_id" in client.session


# ---- by password


def test_a_password_signs_in_and_leads_on(client, ida):
    answer = client.post(SIGN_IN, {"login": "IDA@example.com", "password": PASSWORD, "next": "/me/"})

    assert answer.headers["Location"] == "/me/"
    assert signed_in(client)


def test_nobody_is_led_to_another_site(client, ida):
    answer = client.post(SIGN_IN, {"login": IDA, "password": PASSWORD, "next": "https://elsewhere.example/"})

    assert answer.headers["Location"] == "/"


@pytest.mark.parametrize("login", [IDA, "nobody@example.com"])
def test_a_wrong_password_and_an_unknown_address_get_the_same_answer(client, ida, login):
    answer = client.post(SIGN_IN, {"login": login, "password": "wrong"})

    assert answer.status_code == 422
    assert "E-mail and password do not belong together." in answer.text
    assert f'value="{login}"' in answer.text


def test_five_failed_passwords_close_the_door_to_that_address_even_for_the_right_one(client, ida):
    for _ in range(5):
        client.post(SIGN_IN, {"login": IDA, "password": "wrong"})

    answer = client.post(SIGN_IN, {"login": IDA, "password": PASSWORD})

    assert answer.status_code == 422
    assert "Too many tries. Wait five minutes, then try again." in answer.text
    assert not signed_in(client)


def test_ten_failed_passwords_a_minute_close_the_door_to_that_client_whatever_the_address(client, ida):
    for number in range(10):
        client.post(SIGN_IN, {"login": f"p{number}@example.com", "password": "wrong"})

    assert "Too many tries." in client.post(SIGN_IN, {"login": IDA, "password": PASSWORD}).text
    assert not signed_in(client)


def test_thirty_tries_a_minute_get_a_page_in_our_look(client, db):
    for number in range(30):
        client.post(SIGN_IN, {"login": f"p{number}@example.com", "password": "wrong"})

    answer = client.post(SIGN_IN, {"login": IDA, "password": "wrong"})

    assert answer.status_code == 429
    assert "Too many tries. Wait five minutes" in answer.text


def test_a_closed_account_does_not_get_in(client, ida):
    User.objects.update(is_active=False)

    answer = client.post(SIGN_IN, {"login": IDA, "password": PASSWORD}, follow=True)
    ask_code(client)

    assert "This account is closed." in answer.text
    assert "There is no account with this address." in mail.outbox[-1].body
    assert not signed_in(client)


def test_passwords_are_kept_by_argon2(db):
    """The settings file itself, for the tests' own hasher stands in elsewhere."""
    assert site_settings.PASSWORD_HASHERS == ["django.contrib.auth.hashers.Argon2PasswordHasher"]


# ---- by code


@pytest.mark.parametrize("typed", [{"way": "code"}, {"way": "code", "password": PASSWORD}, {"password": ""}])
def test_a_code_is_sent_by_the_button_and_by_an_empty_password(client, ida, typed):
    answer = client.post(SIGN_IN, {"login": IDA} | typed)

    assert answer.headers["Location"] == CONFIRM
    assert [message.to for message in mail.outbox] == [[IDA]]
    assert not signed_in(client)


def test_the_codes_mail_says_nothing_in_its_subject(client, ida):
    ask_code(client)

    assert mail.outbox[0].subject == "Your code to sign in"
    assert code_sent() not in mail.outbox[0].subject
    assert "It works once, for ten minutes." in mail.outbox[0].body
    assert "http://localhost:8000" in mail.outbox[0].body


def test_a_code_signs_in_and_leads_on(client, ida):
    answer = ask_code(client, next="/me/")

    assert answer.headers["Location"] == f"{CONFIRM}?next=%2Fme%2F"
    assert client.post(CONFIRM, {"code": code_sent().lower(), "next": "/me/"}).headers["Location"] == "/me/"
    assert signed_in(client)


def test_a_code_works_once(client, ida):
    ask_code(client)
    code = code_sent()
    client.post(CONFIRM, {"code": code})
    client.post("/account/logout/")

    answer = client.post(CONFIRM, {"code": code}, follow=True)

    assert not signed_in(client)
    assert "That code has been used or is more than ten minutes old." in answer.text


def test_a_code_works_in_the_browser_that_asked_alone(client, ida, django_user_model):
    ask_code(client)
    other = type(client)()

    other.post(CONFIRM, {"code": code_sent()})

    assert not signed_in(other)


def test_a_code_expires_after_ten_minutes(client, ida, monkeypatch):
    ask_code(client)
    later = time.time() + 601
    monkeypatch.setattr("time.time", lambda: later)

    answer = client.post(CONFIRM, {"code": code_sent()}, follow=True)

    assert not signed_in(client)
    assert "That code has been used or is more than ten minutes old. Have a new one sent." in answer.text


def test_a_code_still_works_after_nine_minutes(client, ida, monkeypatch):
    ask_code(client)
    later = time.time() + 540
    monkeypatch.setattr("time.time", lambda: later)

    client.post(CONFIRM, {"code": code_sent()})

    assert signed_in(client)


def test_three_wrong_codes_end_it_even_for_the_right_one(client, ida):
    ask_code(client)
    code = code_sent()

    first = client.post(CONFIRM, {"code": "wrong"})
    client.post(CONFIRM, {"code": "wrong"})
    third = client.post(CONFIRM, {"code": "wrong"}, follow=True)
    client.post(CONFIRM, {"code": code})

    assert first.status_code == 422
    assert "That is not the code." in first.text
    assert "Too many tries." in third.text
    assert not signed_in(client)


def test_codes_are_sent_three_times_a_minute_to_an_address(client, ida):
    answers = [ask_code(type(client)()) for _ in range(4)]

    assert [answer.status_code for answer in answers] == [302, 302, 302, 422]
    assert "Too many tries." in answers[3].text
    assert len(mail.outbox) == 3


def test_a_new_code_replaces_the_old(client, ida):
    ask_code(client)
    old = code_sent()
    client.post(CONFIRM, {"action": "resend"})
    new = code_sent()

    assert old != new
    assert client.post(CONFIRM, {"code": old}).status_code == 422
    client.post(CONFIRM, {"code": new})
    assert signed_in(client)


def test_asking_for_a_code_does_not_say_who_has_an_account(client, ida):
    def page_for(email):
        browser = type(client)()
        answer = ask_code(browser, email)
        shown = browser.get(CONFIRM)
        tokens = re.compile(r'"[A-Za-z0-9+/=]{20,}"|value="\w{64}"|nonce="[^"]*"')
        return answer.status_code, answer.headers["Location"], tokens.sub("", shown.text.replace(email, "…"))

    assert page_for(IDA) == page_for("nobody@example.com")
    assert [message.to for message in mail.outbox] == [[IDA], ["nobody@example.com"]]


def test_a_forgotten_password_does_not_say_who_has_an_account(client, ida):
    answers = [client.post("/account/password/reset/", {"email": email}) for email in (IDA, "nobody@example.com")]

    assert {answer.headers["Location"] for answer in answers} == {"/account/password/reset/sent/"}


# ---- passwords


def test_a_forgotten_password_is_set_anew_by_a_link_that_works_once(client, ida):
    client.post("/account/password/reset/", {"email": IDA}, headers={"host": "127.0.0.1"})
    link = re.search(r"^http://localhost:8000(/account/password/reset/\S+)$", mail.outbox[0].body, re.MULTILINE)[1]

    form = client.get(link, follow=True)
    done = client.post(form.request["PATH_INFO"], {"password1": "another long one", "password2": "another long one"})

    ida.refresh_from_db()
    assert done.headers["Location"] == "/account/password/reset/done/"
    assert ida.check_password("another long one")
    assert "This link has been used, or is too old." in type(client)().get(link, follow=True).text
    assert "The password of your account was changed" in mail.outbox[-1].body


@pytest.mark.parametrize("weak", ["short", "password1234", "ida@example.com"])
def test_a_weak_password_is_refused(client, ida, weak):
    client.force_login(ida)

    answer = client.post("/account/password/change/", {"oldpassword": PASSWORD, "password1": weak, "password2": weak})

    ida.refresh_from_db()
    assert answer.status_code == 422
    assert ida.check_password(PASSWORD)


def test_a_changed_password_signs_other_browsers_out_and_tells_its_owner(client, ida):
    other = type(client)()
    for browser in (client, other):
        browser.post(SIGN_IN, {"login": IDA, "password": PASSWORD})

    new = {"oldpassword": PASSWORD, "password1": "another long one", "password2": "another long one"}
    answer = client.post("/account/password/change/", new)

    assert answer.headers["Location"] == "/me/"
    assert client.get("/me/").status_code == 200
    assert other.get("/me/").status_code == 302
    assert mail.outbox[-1].subject == "Your password was changed"


def test_who_has_no_password_sets_one(client, db):
    user = accounts.make_account(IDA, name="Ida")
    client.force_login(user)

    assert client.get("/account/password/change/").headers["Location"] == "/account/password/set/"
    client.post("/account/password/set/", {"password1": PASSWORD, "password2": PASSWORD})

    user.refresh_from_db()
    assert user.check_password(PASSWORD)


# ---- out, and no way round


def test_signing_out_asks_by_get_and_is_done_by_post(client, ida):
    client.force_login(ida)

    client.get("/account/logout/")
    assert signed_in(client)
    client.post("/account/logout/")
    assert not signed_in(client)


@pytest.mark.parametrize("method", ["get", "post"])
def test_nobody_signs_up_without_an_invitation(client, db, method):
    answer = getattr(client, method)("/account/signup/", {"email": IDA, "password1": PASSWORD})

    assert "Accounts come by invitation." in answer.text
    assert not User.objects.exists()


def test_no_account_page_is_served_that_we_do_not_know(db):
    """Written by hand: a page that allauth adds is ours to look at before it is served."""
    (account,) = [pattern for pattern in get_resolver().url_patterns if str(pattern.pattern) == "account/"]
    assert {pattern.name for pattern in account.url_patterns} == {
        "account_login", "account_request_login_code", "account_confirm_login_code", "account_logout",
        "account_inactive", "account_signup", "account_reauthenticate", "account_change_password",
        "account_set_password", "account_reset_password", "account_reset_password_done",
        "account_reset_password_from_key", "account_reset_password_from_key_done", "mfa_index", "mfa_authenticate",
        "mfa_reauthenticate", "mfa_activate_totp", "mfa_deactivate_totp", "mfa_view_recovery_codes",
        "mfa_generate_recovery_codes", "mfa_download_recovery_codes",
    }  # fmt: skip


def test_asking_for_a_code_has_no_page_of_its_own(client, db):
    assert client.get("/account/login/code/?next=/me/").headers["Location"] == "/account/login/?next=/me/"


def test_account_pages_are_in_our_look(client, ida):
    """Each extends our base, which alone writes this class."""
    client.post(SIGN_IN, {"login": IDA, "password": PASSWORD})
    pages = [
        "/account/logout/", "/account/inactive/", "/account/password/change/",
        "/account/password/reset/", "/account/password/reset/sent/", "/account/password/reset/done/",
        "/account/password/reset/1-x/", "/account/second-step/", "/account/confirm/",
    ]  # fmt: skip
    for address in pages:
        answer = client.get(address)
        assert (address, answer.status_code, answer.text.count('<main id="main" class="page"')) == (address, 200, 1)
    client.post("/account/logout/")
    ask_code(client)
    for address in (SIGN_IN, CONFIRM):
        assert '<main id="main" class="page"' in client.get(address, follow=True).text
