"""Reads of talk; every one begins with what the reader may see."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from portal.people.models import Member
from portal.talk import subjects
from portal.talk.models import Comment, CommentQuerySet


@dataclass
class Thread:
    """A comment with its answers; `number` is that of its place on the picture, None where it has none."""

    first: Comment
    answers: list[Comment] = field(default_factory=list)
    number: int | None = None
    # The form to answer it, where the page that shows it takes one.
    form: Any = None

    @property
    def resolved(self) -> str:
        """What is said of a settled thread: who settled it; empty while it is open."""
        if self.first.resolved_at is None:
            return ""
        return f"resolved by {self.first.resolved_by.user}" if self.first.resolved_by else "resolved"


def visible(member: Member) -> CommentQuerySet:
    """What the member may read, with the people that pages name."""
    return Comment.objects.visible_to(member).select_related("author__user", "resolved_by__user")


def threads_on(member: Member, subject: str) -> list[Thread]:
    """The threads on one subject ("shot/<key>"), oldest first; one query."""
    threads = _gathered(visible(member).filter(subject=subject))
    pinned = [thread for thread in threads if thread.first.pin_x is not None]
    for number, thread in enumerate(pinned, start=1):
        thread.number = number
    return threads


def threads_from(member: Member, firsts: Iterable[Comment]) -> list[Thread]:
    """The threads that these comments begin, in their order; one query."""
    firsts = list(firsts)
    by_key = {first.pk: Thread(first) for first in firsts}
    for comment in visible(member).filter(answers__in=firsts):
        by_key[comment.answers_id].answers.append(comment)  # type: ignore[index]
    return list(by_key.values())


def pins(member: Member, kind: str, key: str) -> list[dict[str, Any]]:
    """The places of open comments on a picture, for `picture_stage`: {x, y, number, url, label}, x and y in fractions.

    Their numbers are those of the reader's own list of threads, so that nobody can count what they may not read.
    """
    return [
        {
            "x": thread.first.pin_x,
            "y": thread.first.pin_y,
            "number": thread.number,
            "url": f"#comment-{thread.first.key}",
            "label": f"Comment {thread.number}, by {thread.first.author.user}",
        }
        for thread in threads_on(member, subjects.written(kind, key))
        if thread.number is not None and not thread.resolved
    ]


def _gathered(comments: Iterable[Comment]) -> list[Thread]:
    threads: dict[int, Thread] = {}
    for comment in comments:
        if comment.answers_id is None:
            threads[comment.pk] = Thread(comment)
        elif comment.answers_id in threads:
            threads[comment.answers_id].answers.append(comment)
    return list(threads.values())
