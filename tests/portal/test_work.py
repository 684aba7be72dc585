"""Protects the promise that no work is lost or done twice: rows, claims, leases, tries and the sweep."""

import contextlib
import os
import socket
from datetime import timedelta

import pytest
from django.db import transaction
from django.utils import timezone

from portal.models import Work
from portal.work import actions, handlers, tasks

pytestmark = pytest.mark.django_db


@pytest.fixture
def kind(monkeypatch):
    """A kind of work whose handler does what the test puts in `does`."""
    does = {"calls": 0, "raises": None}

    def work(row):
        does["calls"] += 1
        if does["raises"]:
            raise does["raises"]
        return {"doubled": row.inputs["n"] * 2}

    monkeypatch.setitem(handlers._handlers, "test.double", work)
    return does


def owe(n: int = 1, recipe: int = 1) -> Work:
    return actions.owe("test.double", recipe, n=n)


def test_same_inputs_are_one_row_and_another_recipe_is_another(kind):
    first, same, newer = owe(), owe(), owe(recipe=2)

    assert (first.pk == same.pk, first.pk == newer.pk) == (True, False)


def test_look_does_the_work_once_whoever_asks_how_often(kind):
    work = owe(21)

    tasks.look(work.pk)
    tasks.look(work.pk)

    work.refresh_from_db()
    assert (kind["calls"], work.state, work.result) == (1, Work.State.DONE, {"doubled": 42})


def test_claim_is_given_to_one_only(kind):
    work = owe()

    assert [bool(actions.claim(work.pk)), bool(actions.claim(work.pk))] == [True, False]


def test_refused_work_fails_with_its_sentence_and_is_not_tried_again(kind):
    kind["raises"] = handlers.CannotBeDone("The file ends too early. Export it again.")
    work = owe()

    tasks.look(work.pk)
    actions.sweep()
    tasks.look(work.pk)

    work.refresh_from_db()
    assert (work.state, work.says, kind["calls"]) == (Work.State.FAILED, "The file ends too early. Export it again.", 1)


def test_unforeseen_error_is_tried_three_times_then_said_in_words(kind):
    kind["raises"] = RuntimeError("a bug")
    work = owe()

    for _ in range(4):
        with pytest.raises(RuntimeError) if kind["calls"] < 3 else contextlib.nullcontext():
            tasks.look(work.pk)

    work.refresh_from_db()
    assert (kind["calls"], work.state, work.says) == (3, Work.State.FAILED, actions.FAILED_AGAIN)


def test_memory_error_fails_with_a_sentence_and_is_not_raised(kind):
    kind["raises"] = MemoryError()
    work = owe()

    tasks.look(work.pk)

    work.refresh_from_db()
    assert (work.state, work.says) == (Work.State.FAILED, actions.FAILED_AGAIN)


def test_retry_owes_failed_work_again_and_leaves_other_work_alone(kind):
    kind["raises"] = handlers.CannotBeDone("no")
    failed, waiting = owe(1), owe(2)
    tasks.look(failed.pk)
    kind["raises"] = None

    actions.retry(failed)
    actions.retry(waiting)
    tasks.look(failed.pk)

    states = dict(Work.objects.values_list("pk", "state"))
    assert states == {failed.pk: Work.State.DONE, waiting.pk: Work.State.OWED}


def test_sweep_frees_what_a_dead_worker_held_and_waits_for_a_living_one(kind):
    dead, alive, late = owe(1), owe(2), owe(3)
    for work in (dead, alive, late):
        actions.claim(work.pk)
    Work.objects.filter(pk=dead.pk).update(claimed_by=f"{socket.gethostname()}:{_pid_that_is_gone()}")
    Work.objects.filter(pk=late.pk).update(claimed_by="elsewhere:1", lease_until=timezone.now() - timedelta(seconds=1))

    tasks.sweep()

    states = dict(Work.objects.values_list("pk", "state"))
    assert states == {dead.pk: Work.State.OWED, alive.pk: Work.State.WORKING, late.pk: Work.State.OWED}


def test_messages_are_sent_by_name_once_committed(kind, monkeypatch, django_capture_on_commit_callbacks):
    sent = []
    monkeypatch.setattr(actions.celery_app, "send_task", lambda name, args: sent.append((name, args)))

    with django_capture_on_commit_callbacks(execute=True):
        work = owe()
        before = list(sent)

    assert (before, sent) == ([], [("portal.look", [work.pk])])


@pytest.mark.django_db(transaction=True)
def test_queue_out_of_reach_loses_neither_the_act_nor_the_work(kind, monkeypatch):
    def refuse(*_):
        raise OSError("No space left on device")

    monkeypatch.setattr(actions.celery_app, "send_task", refuse)

    with transaction.atomic():
        work = owe()

    work.refresh_from_db()
    assert work.state == Work.State.OWED


def test_folder_queue_shows_a_message_only_when_it_is_whole(tmp_path, monkeypatch):
    from kombu import Connection

    from portal.site import folder_queue

    folders = {"data_folder_in": str(tmp_path), "data_folder_out": str(tmp_path), "control_folder": str(tmp_path / "c")}
    seen = []
    replace = folder_queue.Path.replace

    def watch(part, name):
        seen.append(([path.name for path in tmp_path.glob("[!.]*.msg")], part.read_text()[:1]))
        return replace(part, name)

    monkeypatch.setattr(folder_queue.Path, "replace", watch)
    with Connection("filesystem://localhost", transport_options=folders) as connection:
        queue = connection.SimpleQueue("test")
        queue.put({"work": 17})
        got = queue.get(timeout=2)
        got.ack()
        queue.close()

    assert (got.payload, seen) == ({"work": 17}, [([], "{")])


def _pid_that_is_gone() -> int:
    child = os.fork()
    if child == 0:
        os._exit(0)
    os.waitpid(child, 0)
    return child
