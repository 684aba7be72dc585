"""Doing owed work inside a test, as the worker would, without a queue."""

from portal.site import celery_app
from portal.work.models import Work
from portal.work.tasks import look

MOST = 1000


def run_work(kind: str = "") -> list[Work]:
    """Look at owed rows (of one kind, or all) in the order they were owed until none is left; return those rows.

    An unforeseen error in a handler is raised, as the test must hear of it.
    """
    celery_app.loader.import_default_modules()  # the rooms' tasks.py, as a worker finds them
    done: list[int] = []
    while True:
        owed = Work.objects.filter(state=Work.State.OWED).order_by("owed_at", "pk")
        if kind:
            owed = owed.filter(kind=kind)
        row = owed.first()
        if row is None:
            break
        if len(done) >= MOST:
            raise AssertionError(f"work does not end: {row}")
        look(row.pk)
        done.append(row.pk)
    found = Work.objects.in_bulk(done)
    return [found[pk] for pk in done]
