"""Protects the page of the capture plan: what it says and draws, that trying keeps nothing, and who may do what."""

import pytest
from django.urls import reverse

from tests.layouts.capture_rows import example_1

pytestmark = pytest.mark.django_db


def address(shot, name="capture", **query):
    at = reverse(f"layouts:{name}", args=[shot.campaign.key, shot.key])
    return at


def test_the_page_says_how_many_captures_serve_how_many(sign_in):
    photographer, shot = example_1()
    page = sign_in(photographer).get(address(shot)).content.decode()
    assert "One capture serves both placements; the tightest has 44.0" in page
