"""Acts of talk: comments, answers, resolving. They stay possible when the brief is closed."""

from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from portal import access
from portal.access import May
from portal.brief import once as forms
from portal.brief.models import Campaign
from portal.people.models import Member
from portal.record.canonical import digest
from portal.sealing import log
from portal.talk import subjects
from portal.talk.models import Comment

Point = tuple[float, float]
LONGEST = 4000  # a model's text field is not checked for its length


@transaction.atomic
def comment(
    by: Member, *, kind: str, key: str, text: str, audience: str, pin: Point | None = None, once: str = ""
) -> Comment:
    """Begin a thread on a thing of the brief, for an audience that is then fixed.

    `pin` is a point of its picture, in fractions (0 to 1) from the left and from the top. A form sent again
    (`once`) gives the comment it made. Raises PermissionDenied, NoSuchSubject, ValidationError.
    """
    access.need(by, access.comment_act(audience))
    subjects.one(by.campaign, kind, key)
    x, y = pin or (None, None)
    if pin and not all(0 <= part <= 1 for part in pin):
        raise ValidationError({"pin_x": "A place on the picture lies between 0 and 100 % from the left and the top."})
    return _write(by, once, audience=audience, subject=subjects.written(kind, key), text=text, pin_x=x, pin_y=y)


@transaction.atomic
def answer(by: Member, comment: str, *, text: str, once: str = "") -> Comment:
    """Answer in the thread of a comment (its key); the answer has the thread's audience, and opens it again.

    A form sent again (`once`) gives the answer it made, and opens nothing. Raises PermissionDenied, ValidationError,
    Comment.DoesNotExist also where `by` may not read it.
    """
    thread = _thread(by, comment)
    known = forms.done(by, once)
    answered = _write(by, once, audience=thread.audience, subject=thread.subject, text=text, answers=thread)
    if thread.resolved_at and not known:
        _settle(by, thread, resolved=False)
    return answered


def resolve(by: Member, comment: str) -> Comment:
    """Say that a thread is settled: whoever may write in it may. Raises as `answer` does."""
    return _set_resolved(by, comment, resolved=True)


def reopen(by: Member, comment: str) -> Comment:
    """Say that a thread is not settled after all. Raises as `answer` does."""
    return _set_resolved(by, comment, resolved=False)


@transaction.atomic
def _set_resolved(by: Member, comment: str, *, resolved: bool) -> Comment:
    thread = _thread(by, comment)
    if bool(thread.resolved_at) != resolved:
        _settle(by, thread, resolved=resolved)
    return thread


def _thread(by: Member, comment: str) -> Comment:
    access.need(by, May.COMMENT)
    found = Comment.objects.visible_to(by).select_for_update(of=("self",)).select_related("answers").get(key=comment)
    return found.answers or found


def _settle(by: Member, thread: Comment, *, resolved: bool) -> None:
    thread.resolved_at, thread.resolved_by = (timezone.now(), by) if resolved else (None, None)
    thread.save(update_fields=["resolved_at", "resolved_by"])
    act = "comment.resolved" if resolved else "comment.reopened"
    log.append(by, act, thread.subject, audience=thread.audience, comment=thread.key)


def _write(by: Member, once: str, **fields: Any) -> Comment:
    # Held before the look for what the form has made, so that two halves of a double click come one after the other.
    Campaign.objects.select_for_update().only("pk").get(pk=by.campaign_id)
    if made := forms.done(by, once):
        return Comment.objects.get(key=made[0].payload["comment"], campaign=by.campaign_id)
    written = Comment(campaign_id=by.campaign_id, author=by, **fields)
    written.text = str(fields["text"]).strip()
    if len(written.text) > LONGEST:
        raise ValidationError({"text": f"A comment has {LONGEST} characters at most. Say it in two, or send a file."})
    written.full_clean(exclude=["campaign", "author", "answers"])
    written.save()
    act = "comment.answered" if written.answers_id else "comment.written"
    # The text itself stays out of the log; its digest proves what it was.
    proof = digest(written.text.encode())
    log.append(
        by, act, written.subject, audience=written.audience, comment=written.key, text_sha256=proof, **forms.mark(once)
    )
    return written
