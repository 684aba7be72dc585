"""The worker's part of talk: notices by mail."""

from typing import Any

from portal.talk import notices
from portal.talk.models import Comment
from portal.work.handlers import CannotBeDone, handler
from portal.work.models import Work


@handler("portal.notice")
def notice(work: Work) -> dict[str, Any]:
    """Tell those who may read a comment that it is there.

    A mail server that does not answer raises; the worker then tries again, and nobody is told twice.
    """
    comments = Comment.objects.select_related("campaign", "author__user", "answers__campaign")
    comment = comments.filter(key=work.inputs["comment"]).first()
    if comment is None:
        raise CannotBeDone("The comment is no longer there.")
    return {"told": notices.tell(comment)}
