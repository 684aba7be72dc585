"""Protects what lies round every answer: squeezed text, pictures as they are, sign-in as a whole page to htmx, and
addresses that only take forms."""

import pytest
from django.urls import reverse

from portal.files import sending
from tests.factories import MemberFactory

GZIP = {"Accept-Encoding": "gzip"}


def test_pages_are_squeezed(client, db):
    client.force_login(MemberFactory().user)

    assert client.get(reverse("portal:home"), headers=GZIP).headers["Content-Encoding"] == "gzip"


def test_pictures_are_not_squeezed_and_keep_their_etag(rf, db):
    from django.core.files.base import ContentFile
    from django.core.files.storage import default_storage

    from portal.site.middleware import SqueezeText

    default_storage.save("derived/one.jpg", ContentFile(b"\xff\xd8" + b"picture" * 200))

    def view(request):
        return sending.send(request, "derived/one.jpg", type="jpg", etag="abc")

    first = SqueezeText(view)(rf.get("/", headers=GZIP))
    body = b"".join(first)
    first.close()
    again = SqueezeText(view)(rf.get("/", headers=GZIP | {"If-None-Match": first.headers["ETag"]}))

    assert (body[:2], first.headers.get("Content-Encoding"), again.status_code) == (b"\xff\xd8", None, 304)


@pytest.mark.django_db
def test_htmx_signed_out_is_led_to_sign_in_as_a_whole_page(client):
    address = reverse("portal:campaign", args=["nothere"])

    part, whole = client.get(address, headers={"HX-Request": "true"}), client.get(address)

    assert (part.status_code, part.headers["HX-Redirect"]) == (204, whole.headers["Location"])


@pytest.mark.django_db
def test_an_address_that_only_takes_forms_says_so(client):
    answer = client.get(reverse("layouts:send-layouts", args=["nothere"]))
    assert (answer.status_code, answer.headers["Allow"]) == (405, "POST")
    assert "a form is sent to it" in answer.text
