"""What follows when work ends: a campaign's standing may have changed."""

import contextlib
from collections.abc import Callable, Iterable, Iterator

from billiard.exceptions import SoftTimeLimitExceeded

from portal.brief import standing
from portal.models import Work
from portal.work import actions
from portal.work.handlers import CannotBeDone


@contextlib.contextmanager
def standing_follows(works: Iterable[Work], campaigns_of: Callable[[Work], list[int]]) -> Iterator[None]:
    """Have the standing of every campaign that shows these pieces of work counted anew, once they have ended.

    The worker notes an end only after the handler has returned or raised; a failure is noted here as well, so that the
    standing counts it.
    """
    works = list(works)
    try:
        yield
    except CannotBeDone as reason:
        actions.fail(works[0], str(reason))
        raise
    except (MemoryError, SoftTimeLimitExceeded):
        actions.fail(works[0], actions.FAILED_AGAIN)
        raise
    finally:
        for campaign in {campaign for work in works for campaign in campaigns_of(work)}:
            standing.outdated(campaign)
