"""What every test may use: people signed in, and a store and a mail folder of its own."""

import pytest

from tests.factories import MemberFactory


@pytest.fixture(autouse=True)
def own_store(settings, tmp_path):
    """Each test writes its files to a folder of its own; static files need no manifest."""
    settings.STORAGES = {
        "default": {
            "BACKEND": "portal.files.storage.WholeFiles",
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


@pytest.fixture(autouse=True)
def entries_come_last(monkeypatch):
    """An act's entry vouches for the rows as they are when it is appended: what the act writes after it fails here."""
    from django.db import transaction

    from portal.rows import Written
    from portal.sealing import written

    frames, enter, leave, take_up = [], transaction.Atomic.__enter__, transaction.Atomic.__exit__, written.take_up

    def entered(self):
        enter(self)
        frames.append([self, len(transaction.get_connection().run_on_commit), False])

    def taken_up(*args):
        for frame in frames:
            frame[2] = True
        return take_up(*args)

    def left(self, kind, wrong, trace):
        frame = frames.pop() if frames and frames[-1][0] is self else [self, 0, False]
        waiting = [one for _, one, *_ in transaction.get_connection().run_on_commit[frame[1] :]]
        leave(self, kind, wrong, trace)
        if kind is None and frame[2] and not getattr(self, "_from_testcase", False):
            late = {one.table._meta.label for one in waiting if isinstance(one, Written) and not one.told}
            assert not late, f"written after the act's entry in the log: {sorted(late)}"

    monkeypatch.setattr(transaction.Atomic, "__enter__", entered)
    monkeypatch.setattr(transaction.Atomic, "__exit__", left)
    monkeypatch.setattr(written, "take_up", taken_up)


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
