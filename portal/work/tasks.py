"""The worker's tasks: look at one row, note that one was killed, and sweep for rows that nobody looks at."""

import logging
import resource
from collections.abc import Sequence
from typing import Any

from billiard.exceptions import SoftTimeLimitExceeded, TimeLimitExceeded, WorkerLostError
from celery import Task, shared_task
from celery.signals import task_failure, worker_process_init, worker_ready
from django.conf import settings

from portal.site import celery_app
from portal.work import actions
from portal.work.handlers import CannotBeDone, for_kind
from portal.work.models import Work

log = logging.getLogger("brieflock.work")


@shared_task(name="portal.look", soft_time_limit=settings.WORK_SECONDS - 10)
def look(work_id: int) -> None:
    """Do one row's work if it is still owed."""
    work = actions.claim(work_id)
    if work is None:
        return
    try:
        if not _within_limits(work):
            # Only here is the memory of what went too far free again: an error holds on to all that was there.
            actions.fail(work, actions.FAILED_AGAIN)
    except MemoryError:
        # Celery would hand it on to the worker's main process, and end that.
        raise RuntimeError("no memory was left to note that there is none") from None


def _within_limits(work: Work) -> bool:
    """Do the work and note its end; False where it passed its limits."""
    try:
        result = for_kind(work.kind)(work)
    except CannotBeDone as reason:
        actions.fail(work, str(reason))
    except (MemoryError, SoftTimeLimitExceeded):
        log.warning("work %s (%s) passed its limits", work.pk, work.kind, exc_info=True)
        return False
    except Exception:
        log.exception("work %s (%s) failed, try %s", work.pk, work.kind, work.tries)
        actions.give_back(work)
        raise
    else:
        actions.finish(work, result)
    return True


@shared_task(name="portal.broken_off")
def broken_off(work_id: int, past_limits: bool) -> None:
    """Note the end of work whose process was killed."""
    actions.broken_off(work_id, past_limits=past_limits)


@task_failure.connect
def tell_of_death(sender: Task, exception: Exception, args: Sequence[Any], **_: object) -> None:
    """A child that was killed, by its time limit or from outside, can note nothing itself: the worker's main process
    sends word. Without it, as when that process dies too, the sweep finds the row once its lease has ended."""
    if sender.name == look.name and isinstance(exception, TimeLimitExceeded | WorkerLostError):
        past_limits = isinstance(exception, TimeLimitExceeded)
        celery_app.send_task(broken_off.name, [args[0], past_limits])


@shared_task(name="portal.sweep")
def sweep() -> int:
    """Find what is owed but not being looked at."""
    return actions.sweep(dead=actions.gone())


@worker_process_init.connect
def bound_memory(**_: object) -> None:
    """A file that asks for more than this fails alone; the worker lives."""
    limit = settings.WORK_MEMORY_MIB * 1024 * 1024
    resource.setrlimit(resource.RLIMIT_AS, (limit, limit))


@worker_ready.connect
def sweep_at_start(**_: object) -> None:
    """What a killed worker left is found at once, not at the next round."""
    sweep.delay()
