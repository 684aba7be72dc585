"""What every test may use: people signed in, and a store and a mail folder of its own."""

import pytest

from tests.factories import MemberFactory


@pytest.fixture(autouse=True)
def own_store(settings, tmp_path):
    """Each test writes its files to a folder of its own; static files need no manifest."""
    settings.STORAGES = {
        "default": {
            "BACKEND": "django.core.files.storage.FileSystemStorage",
            "OPTIONS": {"location": tmp_path / "files"},
        },
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}


@pytest.fixture(autouse=True)
def no_messages(monkeypatch, request):
    """Nothing is sent to a queue, except where a test starts a real worker."""
    if "services" in request.keywords or "browser" in request.keywords:
        return
    from portal.site import celery_app

    monkeypatch.setattr(celery_app, "send_task", lambda *_, **__: None)


@pytest.fixture(autouse=True)
def seal_opened_for_flush(request):
    """A test that commits has its tables emptied after it, which the seals would refuse; `flush` puts them back."""
    marker = request.node.get_closest_marker("django_db")
    commits = {"transactional_db", "live_server"} & set(request.fixturenames) or (
        marker and (marker.kwargs.get("transaction") or (marker.args and marker.args[0]))
    )
    if not commits:
        yield
        return
    # Asked for here, so that the tables are emptied only after this fixture has ended.
    request.getfixturevalue("transactional_db")
    yield
    from django.db import connection

    from portal.sealing import guard

    guard.remove(connection)


@pytest.fixture
def sign_in(client):
    """A function that signs a member in and returns the client."""

    def signed_in(member):
        client.force_login(member.user)
        return client

    return signed_in


@pytest.fixture
def producer(db):
    return MemberFactory()
