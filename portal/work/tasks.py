"""The worker's two tasks: look at one row, and sweep for rows that nobody looks at."""

import logging
import resource

from billiard.exceptions import SoftTimeLimitExceeded
from celery import shared_task
from celery.signals import worker_process_init, worker_ready
from django.conf import settings

from portal.work import actions
from portal.work.handlers import CannotBeDone, for_kind

log = logging.getLogger("brieflock.work")


@shared_task(name="portal.look", soft_time_limit=settings.WORK_SECONDS - 10)
def look(work_id: int) -> None:
    """Do one row's work if it is still owed."""
    work = actions.claim(work_id)
    if work is None:
        return
    try:
        result = for_kind(work.kind)(work)
    except CannotBeDone as reason:
        actions.fail(work, str(reason))
    except (MemoryError, SoftTimeLimitExceeded):
        log.exception("work %s (%s) passed its limits", work.pk, work.kind)
        actions.fail(work, actions.FAILED_AGAIN)
    except Exception:
        log.exception("work %s (%s) failed, try %s", work.pk, work.kind, work.tries)
        actions.give_back(work)
        raise
    else:
        actions.finish(work, result)


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
