"""The worker's part in notices: finding whose mail is due, and sending it."""

from typing import Any

from celery import shared_task
from django.utils import timezone
from django.utils.timezone import localdate

from portal.notices import actions, mails, queries
from portal.notices.following import remind_delegates, still
from portal.people.models import Member
from portal.work.handlers import handler
from portal.work.models import Work


@shared_task(name="portal.gather")
def gather() -> int:
    """Remind who signs for somebody from today, and owe a mail to everybody whose notices are due; with the sweep."""
    remind_delegates(localdate())
    return actions.gather(timezone.now())


@handler("portal.digest")
def digest(work: Work) -> dict[str, Any]:
    """Write one member what they have not been told yet. Result: {told: how many notices}.

    Claimed before the mail goes, noted as sent when it has gone. A worker that is killed in between leaves a claim that
    runs out, and the same mail goes again. A mail server that does not answer raises; the worker then tries again.
    """
    many = 0
    while claimed := actions.claim(work.inputs["member"], still):
        try:
            member = queries.with_wishes(Member.objects.all()).get(key=work.inputs["member"])
            mails.digest(member, claimed.rows, claimed.name).send()
        except BaseException:
            actions.release(claimed)
            raise
        actions.sent(claimed)
        many += len(claimed.rows)
    return {"told": many}
