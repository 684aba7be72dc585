"""Protects the second step of signing in, its recovery codes, and the command that makes an account."""

from io import StringIO

import pytest
from allauth.account.models import EmailAddress
from allauth.mfa.totp.internal.auth import format_hotp_value, hotp_value, yield_hotp_counters_from_time
from django.core import mail
from django.core.cache import cache
from django.core.management import CommandError, call_command

from portal.models import User
from portal.people import accounts
from tests.factories import UserFactory
from tests.portal.test_sign_in import CONFIRM, IDA, PASSWORD, SIGN_IN, ask_code, code_sent, signed_in


@pytest.fixture(autouse=True)
def no_earlier_tries(settings):
    """As in test_sign_in.py: a quick hasher, and no tries counted before."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    cache.clear()


@pytest.fixture
def ida(db):
    return accounts.make_account(IDA, name="Ida Moss", password=PASSWORD)


def app_code(secret):
    counter = next(iter(yield_hotp_counters_from_time()))
    return format_hotp_value(hotp_value(secret, counter))


def switch_on(client):
    client.post(SIGN_IN, {"login": IDA, "password": PASSWORD})
    client.post("/account/confirm/?next=/account/second-step/on/", {"password": PASSWORD})
    secret = client.get("/account/second-step/on/").context["form"].secret
    answer = client.post("/account/second-step/on/", {"code": app_code(secret)})
    assert answer.headers["Location"] == "/account/second-step/codes/"
    return secret


def test_the_apps_code_is_that_of_the_standard():
    """RFC 6238, appendix B: SHA-1, the secret "12345678901234567890", 59 s gives 94287082; six figures are its last."""
    assert format_hotp_value(hotp_value("GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ", 59 // 30)) == "287082"


def test_the_second_step_asks_for_the_password_first(client, ida):
    client.force_login(ida)

    assert client.get("/account/second-step/on/").headers["Location"].startswith("/account/confirm/")


def test_with_a_second_step_neither_password_nor_code_alone_signs_in(client, ida):
    switch_on(client)
    client.post("/account/logout/")

    by_password = client.post(SIGN_IN, {"login": IDA, "password": PASSWORD})
    assert by_password.headers["Location"] == "/account/second-step/enter/"
    assert not signed_in(client)

    client.post("/account/logout/")
    ask_code(client)
    by_code = client.post(CONFIRM, {"code": code_sent()})
    assert by_code.headers["Location"] == "/account/second-step/enter/"
    assert not signed_in(client)


def test_the_second_step_refuses_a_wrong_code_and_takes_a_recovery_code_once(client, ida):
    switch_on(client)
    codes = client.get("/account/second-step/codes/").context["unused_codes"]
    client.post("/account/logout/")
    client.post(SIGN_IN, {"login": IDA, "password": PASSWORD})

    wrong = client.post("/account/second-step/enter/", {"code": "000000"})
    right = client.post("/account/second-step/enter/", {"code": codes[0]})

    assert (wrong.status_code, right.status_code) == (422, 302)
    assert "That is not the code." in wrong.text
    assert signed_in(client)
    client.post("/account/logout/")
    client.post(SIGN_IN, {"login": IDA, "password": PASSWORD})
    assert client.post("/account/second-step/enter/", {"code": codes[0]}).status_code == 422


def test_the_second_step_is_limited_too(client, ida):
    secret = switch_on(client)
    client.post("/account/logout/")
    client.post(SIGN_IN, {"login": IDA, "password": PASSWORD})
    for _ in range(5):
        client.post("/account/second-step/enter/", {"code": "000000"})

    answer = client.post("/account/second-step/enter/", {"code": app_code(secret)})

    assert "Too many tries." in answer.text
    assert not signed_in(client)


def test_the_square_is_dark_on_white_whatever_the_ground(client, ida):
    client.post(SIGN_IN, {"login": IDA, "password": PASSWORD})
    client.post("/account/confirm/?next=/account/second-step/on/", {"password": PASSWORD})

    page = client.get("/account/second-step/on/")

    assert 'fill="#fff"' in page.context["totp_svg"]
    assert "issuer=Brieflock" in page.context["totp_url"]


@pytest.mark.django_db(transaction=True)
def test_the_owner_is_told_of_a_second_step(client):
    accounts.make_account(IDA, name="Ida Moss", password=PASSWORD)

    switch_on(client)

    told = [message for message in mail.outbox if message.to == [IDA]]
    assert "A second step was switched on" in [message.subject for message in told]
    assert all("http://localhost:8000" in message.body for message in told)


def test_the_second_step_can_be_switched_off(client, ida):
    switch_on(client)

    client.post("/account/second-step/off/")
    client.post("/account/logout/")
    client.post(SIGN_IN, {"login": IDA, "password": PASSWORD})

    assert signed_in(client)


# ---- whoever keeps the portal


def add_person(*words):
    out = StringIO()
    call_command("add_person", *words, stdout=out)
    return out.getvalue()


def test_add_person_makes_an_account_that_signs_in_by_code(client, db):
    said = add_person("Keeper@Example.com", "--name", "Ana Keeper", "--starts-campaigns")

    user = User.objects.get()
    assert said == (
        "Made the account of Ana Keeper (keeper@example.com). "
        "It signs in with a code by e-mail, and may start campaigns.\n"
    )
    assert (user.email, user.starts_campaigns, user.has_usable_password()) == ("keeper@example.com", True, False)
    assert EmailAddress.objects.get(user=user).verified
    ask_code(client, "keeper@example.com")
    client.post(CONFIRM, {"code": code_sent()})
    assert signed_in(client)


def test_add_person_again_settles_and_takes_nothing_away(db, monkeypatch):
    add_person(IDA, "--name", "Ida", "--starts-campaigns")
    monkeypatch.setattr("sys.stdin", StringIO(PASSWORD + "\n"))

    said = add_person(IDA, "--password-stdin")

    user = User.objects.get()
    assert said.startswith("Settled the account of Ida")
    assert (user.name, user.starts_campaigns, user.check_password(PASSWORD)) == ("Ida", True, True)


def test_add_person_refuses_a_weak_password_and_no_address(db, monkeypatch):
    monkeypatch.setattr("sys.stdin", StringIO("short\n"))
    with pytest.raises(CommandError, match="too short"):
        add_person(IDA, "--password-stdin")
    with pytest.raises(CommandError, match="valid email"):
        add_person("ida at example")
    assert not User.objects.exists()


def test_a_name_that_only_holds_markup_is_shown_as_typed(client, db):
    client.force_login(UserFactory(name="<b>Ida</b>"))

    assert "&lt;b&gt;Ida&lt;/b&gt;" in client.get("/").text
