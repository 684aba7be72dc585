"""Sending notices inside a test, as the worker's sweep would, some time later."""

from datetime import datetime, timedelta

from django.core import mail
from django.utils import timezone

from portal.notices import actions
from tests.work import run_work


def post(now: datetime | None = None) -> list[mail.EmailMessage]:
    """Send what is due two minutes from now, or at `now`; the mails."""
    before = len(mail.outbox)
    actions.gather(now or timezone.now() + timedelta(minutes=2))
    run_work("portal.digest")
    return mail.outbox[before:]


def told(mails: list[mail.EmailMessage]) -> list[str]:
    """The addresses that were written to."""
    return sorted(address for one in mails for address in one.to)
