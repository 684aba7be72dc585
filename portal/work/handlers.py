"""What each kind of work does: rooms declare theirs in their tasks.py."""

from collections.abc import Callable
from typing import Any

from portal.work.models import Work


class CannotBeDone(Exception):
    """The work fails for good; the message is the sentence that a person reads."""


Handler = Callable[[Work], dict[str, Any]]
Follower = Callable[[Work], None]
_handlers: dict[str, Handler] = {}
_followers: dict[str, Follower] = {}


def handler(kind: str) -> Callable[[Handler], Handler]:
    """Declare the function that does work of this kind; it returns the facts to keep as the row's result.

    It may run any number of times for one row. It raises CannotBeDone with a sentence when no further try helps.
    """

    def note(function: Handler) -> Handler:
        _handlers[kind] = function
        return function

    return note


def when_failed(kind: str) -> Callable[[Follower], Follower]:
    """Declare what follows when work of this kind fails, whoever ends it: its handler, a limit, a worker's death.

    It runs in the transaction that notes the failure.
    """

    def note(function: Follower) -> Follower:
        _followers[kind] = function
        return function

    return note


def follow_failure(work: Work) -> None:
    if follower := _followers.get(work.kind):
        follower(work)


def for_kind(kind: str) -> Handler:
    return _handlers[kind]
