"""Protects what becomes of work whose process was killed: failed in words or owed again, and what follows is done."""

import os
import socket
from types import SimpleNamespace

import pytest
from billiard.exceptions import TimeLimitExceeded, WorkerLostError

from portal.models import Work
from portal.work import actions, handlers, tasks

pytestmark = pytest.mark.django_db


@pytest.fixture
def followed(monkeypatch):
    """The rows whose failure was followed."""
    seen = []
    monkeypatch.setitem(handlers._handlers, "test.kind", lambda _: {})
    monkeypatch.setitem(handlers._followers, "test.kind", lambda work: seen.append((work.pk, work.state)))
    return seen


@pytest.fixture
def sent(monkeypatch):
    messages = []
    monkeypatch.setattr(actions.celery_app, "send_task", lambda name, args: messages.append((name, args)))
    return messages


def claimed(n, by=""):
    work = actions.owe("test.kind", 1, n=n)
    work = actions.claim(work.pk)
    if by:
        Work.objects.filter(pk=work.pk).update(claimed_by=by)
    return work


def a_pid_that_is_gone():
    child = os.fork()
    if child == 0:
        os._exit(0)
    os.waitpid(child, 0)
    return child


@pytest.mark.parametrize(
    ("error", "told"),
    [(TimeLimitExceeded(180), [("portal.broken_off", [17, True])]),
     (WorkerLostError("killed"), [("portal.broken_off", [17, False])]), (ValueError("a bug"), [])],
)  # fmt: skip
def test_the_main_process_tells_of_a_childs_death_and_of_nothing_else(sent, error, told):
    tasks.tell_of_death(sender=tasks.look, exception=error, args=[17])
    tasks.tell_of_death(sender=SimpleNamespace(name="portal.sweep"), exception=error, args=[])

    assert sent == told


def test_work_past_its_time_fails_at_once_and_what_follows_is_done(followed):
    work = claimed(1)

    tasks.broken_off(work.pk, past_limits=True)
    tasks.broken_off(work.pk, past_limits=True)

    work.refresh_from_db()
    assert (work.state, work.says) == (Work.State.FAILED, actions.FAILED_AGAIN)
    assert followed == [(work.pk, Work.State.FAILED)]


def test_work_of_a_killed_process_is_owed_again_until_it_has_had_its_tries(followed, settings):
    work = claimed(1)
    for _ in range(settings.WORK_TRIES - 1):
        tasks.broken_off(work.pk, past_limits=False)
        work.refresh_from_db()
        assert (work.state, followed) == (Work.State.OWED, [])
        actions.claim(work.pk)

    tasks.broken_off(work.pk, past_limits=False)

    work.refresh_from_db()
    assert (work.state, work.says) == (Work.State.FAILED, actions.FAILED_AGAIN)
    assert len(followed) == 1


def test_what_the_dead_child_did_besides_is_freed_and_what_a_living_one_does_is_not(followed):
    here = f"{socket.gethostname()}:{os.getpid()}"
    told = actions.owe("test.kind", 1, n=0)
    Work.objects.filter(pk=told.pk).update(state=Work.State.DONE)
    besides, alive = claimed(1, f"{here}:{a_pid_that_is_gone()}"), claimed(2, f"{here}:{os.getpid()}")
    elsewhere = claimed(3, "another-machine:1:2")

    tasks.broken_off(told.pk, past_limits=True)

    states = dict(Work.objects.values_list("pk", "state"))
    assert states == {
        told.pk: Work.State.DONE,
        besides.pk: Work.State.FAILED,
        alive.pk: Work.State.WORKING,
        elsewhere.pk: Work.State.WORKING,
    }


def test_the_sweep_leaves_a_dead_child_of_a_living_worker_to_who_knows_why_it_died(followed):
    work = claimed(1, f"{socket.gethostname()}:{os.getpid()}:{a_pid_that_is_gone()}")

    tasks.sweep()

    work.refresh_from_db()
    assert work.state == Work.State.WORKING


def test_no_memory_to_note_its_lack_does_not_reach_the_main_process(monkeypatch, followed):
    """Celery raises a MemoryError again in the worker's main process, which ends."""

    def none_left(*_):
        raise MemoryError

    monkeypatch.setitem(handlers._handlers, "test.kind", none_left)
    monkeypatch.setattr(actions, "fail", none_left)
    work = actions.owe("test.kind", 1, n=1)

    with pytest.raises(RuntimeError, match="no memory was left"):
        tasks.look(work.pk)
