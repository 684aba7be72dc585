"""Protects what somebody typed when it cannot be taken: signed out meanwhile, an old page, a brief just closed."""

import re
from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from portal.talk.models import Comment

pytestmark = pytest.mark.django_db
BROWSER = {"Accept": "text/html,application/xhtml+xml"}
HERE = {"Origin": "http://testserver"}
PASSWORD = "a long enough one"
TYPED = "One line,\r\n\r\nand “another” <b>one</b> & a third."


@pytest.fixture
def browser():
    return Client(enforce_csrf_checks=True)


def address(people):
    return reverse("portal:thread", args=[people.campaign.key, "campaign", people.campaign.key])


def typed(**more):
    return {"text": TYPED, "audience": "everyone", **more}


def fields(answer) -> dict[str, str]:
    """What the page's form would send, as a browser reads it."""
    form = answer.text[answer.text.index('<form method="post"') :]
    token = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', form)
    areas = re.findall(r'<textarea name="([^"]+)" hidden>\n(.*?)</textarea>', form, re.DOTALL)
    return {"csrfmiddlewaretoken": token[1], **{name: unescape(text) for name, text in areas}}


def sign_in(browser, member):
    """As a person does: the portal gives the browser a new word against forgery."""
    login = reverse("account_login")
    told = {"login": member.user.email, "password": PASSWORD, "csrfmiddlewaretoken": word(browser.get(login))}
    before = browser.cookies["csrftoken"].value
    assert browser.post(login, told, headers=HERE).status_code == 302
    assert browser.cookies["csrftoken"].value != before


def word(answer) -> str:
    return re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', answer.text)[1]


@pytest.mark.parametrize("scripted", [True, False])
def test_signed_out_meanwhile_then_signed_in_and_sent_again(people, browser, settings, scripted):
    """The page's script puts the browser's new word in; in a browser, tests/browser/test_signing_in.py."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # Argon2 is slow on purpose
    people.client.user.set_password(PASSWORD)
    people.client.user.save()
    # The page was opened while signed in: its word against forgery is that of the first session.
    sign_in(browser, people.client)
    opened = browser.get(address(people), headers=BROWSER)
    token = word(opened)
    del browser.cookies["sessionid"]

    first = browser.post(address(people), typed(csrfmiddlewaretoken=token), headers=BROWSER | HERE)
    assert (first.status_code, "You have been signed out" in first.text) == (403, True)
    assert "and “another” &lt;b&gt;one&lt;/b&gt; &amp; a third." in first.text
    assert not Comment.objects.exists()

    sign_in(browser, people.client)
    again = fields(first)
    if scripted:
        again["csrfmiddlewaretoken"] = browser.cookies["csrftoken"].value
    else:  # the page says that its word is the old one, and has the new one
        refused = browser.post(address(people), again, headers=BROWSER | HERE)
        assert (refused.status_code, "older than your sign-in" in refused.text) == (403, True)
        assert not Comment.objects.exists()
        again = fields(refused)
    sent = browser.post(address(people), again, headers=BROWSER | HERE)
    assert sent.status_code == 302
    assert Comment.objects.get().text.replace("\r\n", "\n") == TYPED.replace("\r\n", "\n")


def test_another_sites_form_is_not_offered_to_be_sent(people, browser):
    browser.force_login(people.client.user)
    for origin in ({"Origin": "http://elsewhere.example"}, {}):
        answer = browser.post(address(people), typed(), headers=BROWSER | origin)
        assert (answer.status_code, "Send it again" in answer.text, "another" in answer.text) == (403, False, False)


def test_an_old_page_of_ours_is(people, browser):
    browser.force_login(people.client.user)
    answer = browser.post(address(people), typed(csrfmiddlewaretoken="x" * 64), headers=BROWSER | HERE)
    assert (answer.status_code, "Send it again" in answer.text) == (403, True)


def test_passwords_and_codes_are_not_repeated(browser):
    for path in (reverse("account_login"), reverse("portal:join", args=["no-such-token"])):
        answer = browser.post(path, {"login": "a@b.example", "password": "slow"}, headers=BROWSER | HERE)
        assert (answer.status_code, "slow" in answer.text, "Send it again" in answer.text) == (403, False, False)


def test_the_accounts_own_pages_lead_to_each_other_as_before(people, client):
    """Asking for a code with another address signs out first, and goes on at the sign-in page."""
    client.force_login(people.client.user)
    answer = client.post(reverse("account_logout"), {"next": reverse("account_login")}, headers=BROWSER)
    assert (answer.status_code, answer.headers["Location"]) == (302, reverse("account_login"))


def test_files_are_named_and_have_to_be_chosen_anew(people, client):
    data = {"file": SimpleUploadedFile("bowl.jpg", b"x"), "note": "the second light"}
    answer = client.post(reverse("layouts:mockup", args=[people.campaign.key, "s"]), data, headers=BROWSER)
    assert "bowl.jpg" in answer.text
    assert "the second light" in answer.text
    assert "Send it again" not in answer.text


def test_htmx_shows_it_in_the_whole_window(people, client):
    answer = client.post(address(people), typed(), headers={"HX-Request": "true", "Accept": "*/*"})
    assert (answer.status_code, answer.headers["HX-Retarget"]) == (422, "body")
    assert '<textarea name="text" hidden>' in answer.text


def test_a_script_is_led_to_sign_in_as_before(people, client):
    answer = client.post(address(people), typed(), headers={"Accept": "application/json"})
    assert (answer.status_code, answer.headers["Location"].startswith(reverse("account_login"))) == (302, True)


def test_a_brief_that_closed_meanwhile_shows_what_was_typed(people, out, sign_in):
    told = {"title": "Another bowl, seen from above", "action": "Steam rises"}
    answer = sign_in(people.producer).post(reverse("shots:add", args=[people.campaign.key]), told, headers=BROWSER)
    assert (answer.status_code, told["title"] in answer.text) == (409, True)
