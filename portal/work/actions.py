"""Owing, claiming and ending work."""

import os
import socket
from collections.abc import Iterable
from datetime import timedelta
from typing import Any

from django.conf import settings
from django.db import transaction
from django.db.models import F, Q
from django.utils import timezone

from portal.record.canonical import canonical, digest
from portal.site import celery_app
from portal.work.handlers import follow_failure
from portal.work.models import Work
from portal.work.signals import ended

FAILED_AGAIN = "This took more time or memory than one piece of work may. Try again, or send a smaller file."


def owe(kind: str, recipe: int, **inputs: Any) -> Work:
    """The row of this work, made and sent to the worker when it is new.

    Same kind, recipe's version and inputs give the same row: what is done is not done again. Inside a transaction.
    """
    key = digest(canonical({"kind": kind, "recipe": recipe, "inputs": inputs}))
    work, made = Work.objects.get_or_create(key=key, defaults={"kind": kind, "inputs": inputs})
    if made:
        send(work)
    return work


def send(work: Work) -> None:
    """Tell a worker to look at this row, once the transaction has been committed."""
    # Robust: should the queue be out of reach, the act is done and stays done, and the sweep sends what is owed.
    transaction.on_commit(lambda: celery_app.send_task("portal.look", [work.pk]), robust=True)


@transaction.atomic
def retry(work: Work) -> None:
    """Owe a failed piece of work again."""
    found = Work.objects.filter(pk=work.pk, state=Work.State.FAILED)
    if found.update(state=Work.State.OWED, says="", tries=0, ended_at=None):
        send(work)


def me() -> str:
    """Who claims work: machine, worker, and the child of it that does the work. The death of either frees it."""
    return f"{socket.gethostname()}:{os.getppid()}:{os.getpid()}"


def claim(work_id: int) -> Work | None:
    """Take an owed row for this process; None if another has it or it is done. Atomic by one UPDATE."""
    lease = timezone.now() + timedelta(seconds=settings.WORK_SECONDS + 10)
    taken = Work.objects.filter(pk=work_id, state=Work.State.OWED).update(
        state=Work.State.WORKING, claimed_by=me(), lease_until=lease, tries=F("tries") + 1
    )
    return Work.objects.get(pk=work_id) if taken else None


def finish(work: Work, result: dict[str, Any]) -> None:
    """Note what came of it."""
    _end(work, state=Work.State.DONE, result=result, says="")


@transaction.atomic
def fail(work: Work, sentence: str) -> None:
    """Note that it cannot be done, and why, for a person to read; with what follows from it."""
    _end(work, state=Work.State.FAILED, says=sentence)
    follow_failure(work)


def give_back(work: Work) -> None:
    """Owe it again after an unforeseen error, or fail it when it has had its tries."""
    if work.tries >= settings.WORK_TRIES:
        fail(work, FAILED_AGAIN)
    else:
        Work.objects.filter(pk=work.pk).update(state=Work.State.OWED, lease_until=None)


def _end(work: Work, **fields: Any) -> None:
    Work.objects.filter(pk=work.pk).update(ended_at=timezone.now(), lease_until=None, **fields)
    work.refresh_from_db()
    ended.send(Work, work=work)


def sweep(*, dead: Iterable[str] = ()) -> int:
    """Send again what is owed, and free what was claimed by a worker that is gone; how many were sent.

    `dead` names claimants known to be gone. Others are waited for until their lease ends.
    """
    now = timezone.now()
    lost = Work.objects.filter(state=Work.State.WORKING).filter(Q(lease_until__lt=now) | Q(claimed_by__in=list(dead)))
    for work in lost:
        give_back(work)
    owed = list(Work.objects.filter(state=Work.State.OWED).order_by("owed_at")[:500])
    for work in owed:
        send(work)
    return len(owed)


@transaction.atomic
def broken_off(work_id: int, *, past_limits: bool) -> None:
    """Free what was being worked on when a worker's child was killed; `work_id` is what it had been told to look at.

    Past its time it would only be so again: it fails at once. After any other death it is owed again, if it has had
    fewer tries than it may. Also frees what the same child did besides; nothing that a living one does.
    """
    dead = Q(pk=work_id) | Q(claimed_by__in=list(gone(children=True)))
    for work in Work.objects.select_for_update().filter(dead, state=Work.State.WORKING):
        if past_limits:
            fail(work, FAILED_AGAIN)
        else:
            give_back(work)
            if work.tries < settings.WORK_TRIES:
                send(work)


def gone(*, children: bool = False) -> set[str]:
    """Claimants on this machine whose worker no longer runs or, with `children`, whose child of it does not.

    A child's death is left to `broken_off`, which alone knows why: a sweep that came before it, and many wait while a
    child hangs, would owe again what has just passed its time.
    """
    names = Work.objects.filter(state=Work.State.WORKING).values_list("claimed_by", flat=True).distinct()
    return {name for name in names if _is_gone(name, children)}


def _is_gone(name: str, children: bool) -> bool:
    host, *processes = name.split(":")
    looked_at = processes if children else processes[:1]
    return host == socket.gethostname() and not all(_runs(int(process)) for process in looked_at)


def _runs(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True
