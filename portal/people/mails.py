"""Mail that the portal writes about invitations; what allauth writes is in templates/account/email."""

import logging
from smtplib import SMTPException
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.template.loader import render_to_string
from django.urls import reverse

from portal.people.models import INVITATION_LASTS, Invitation

log = logging.getLogger("brieflock.mail")


def send_invitation(invitation_id: int) -> bool:
    """Write the invitation's mail; whether it was handed over. A failure is noted on the invitation, for its page."""
    invitation = Invitation.objects.select_related("campaign", "invited_by__user").get(pk=invitation_id)
    sent = _hand_over(invitation.email, "portal/mail/invitation", invitation_words(invitation))
    Invitation.objects.filter(pk=invitation_id).update(mail_failed=not sent)
    return sent


def invitation_words(invitation: Invitation) -> dict[str, Any]:
    """What the invitation's mail is composed from."""
    return {
        "invitation": invitation,
        "inviter": invitation.invited_by.user,
        "campaign": invitation.campaign,
        "link": settings.ADDRESS + reverse("portal:join", args=[invitation.token]),
        "address": settings.ADDRESS,
        "days": INVITATION_LASTS.days,
    }


def _hand_over(to: str, template: str, words: dict[str, Any]) -> bool:
    # A name may hold a line break, which must not begin a header of its own.
    subject = " ".join(render_to_string(f"{template}_subject.txt", words).split())
    text = render_to_string(f"{template}.txt", words)
    try:
        EmailMessage(subject, text, settings.DEFAULT_FROM_EMAIL, [to]).send()
    except (OSError, SMTPException):
        log.exception("mail could not be handed over")
        return False
    return True
