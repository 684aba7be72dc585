"""What the journey needs: a browser, the layouts, and a portal that runs on either backend."""

import pytest
from playwright.sync_api import expect, sync_playwright

from tests.browser.watching import PATIENCE_MS, launch
from tests.journey.files import draw_big, draw_layouts
from tests.services import backend, portal


# Of a module: Playwright runs once at a time in a process, and other modules start their own.
@pytest.fixture(scope="module")
def browser():
    expect.set_options(timeout=PATIENCE_MS)
    with sync_playwright() as play:
        started = launch(play)
        yield started
        started.close()


@pytest.fixture(scope="session")
def layouts(tmp_path_factory):
    return draw_layouts(tmp_path_factory.mktemp("layouts"))


@pytest.fixture(scope="session")
def big_layouts(tmp_path_factory):
    """Two layouts of a 96-sheet at its true size."""
    return draw_big(tmp_path_factory.mktemp("big"))


@pytest.fixture(params=["embedded", "servers"])
def site(request, tmp_path):
    """A portal with nothing in it, as a fresh machine has it."""
    with backend(request.param, tmp_path / "site") as env, portal(tmp_path / "site", env) as running:
        yield running
