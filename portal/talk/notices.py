"""Mail that says there is something to read; it never says what."""

from django.conf import settings
from django.core.cache import cache
from django.core.mail import EmailMessage
from django.template.loader import render_to_string
from django.urls import reverse

from portal import access
from portal.people.models import Member
from portal.talk.models import Comment

_HOUR = 60 * 60


def recipients(comment: Comment) -> list[Member]:
    """The members of the other sides who may read it."""
    act = access.comment_act(comment.audience)
    members = comment.campaign.members.active().select_related("user").filter(user__is_active=True)
    return [member for member in access.those_who_may(members, act) if member.side != comment.author.side]


def tell(comment: Comment) -> int:
    """Write to those who may want to know, at most once an hour for a person and a thread; how many were written to.

    Raises OSError or SMTPException where mail cannot be handed over; called again, it goes on where it stopped.
    """
    told = 0
    thread = comment.answers or comment
    for member in recipients(comment):
        key = f"talk-notice:{thread.key}:{member.key}"
        if not cache.add(key, 1, _HOUR):
            continue
        try:
            _mail(comment, thread, member).send()
        except BaseException:
            cache.delete(key)
            raise
        told += 1
    return told


def _mail(comment: Comment, thread: Comment, member: Member) -> EmailMessage:
    kind, _, key = thread.subject.partition("/")
    path = reverse("portal:thread", args=[thread.campaign.key, kind, key])
    words = {
        "author": comment.author,
        "campaign": comment.campaign,
        "answered": comment.answers_id is not None,
        "link": f"{settings.ADDRESS}{path}#comment-{comment.key}",
    }
    # A title may hold a line break, which must not begin a header of its own.
    subject = " ".join(f"New talk in {comment.campaign.code}".split())
    text = render_to_string("portal/talk/notice.txt", words)
    return EmailMessage(subject, text, settings.DEFAULT_FROM_EMAIL, [member.user.email])
