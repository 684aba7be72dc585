"""A hazard that is named without its caution, as readiness says it of food, props and light."""

from collections.abc import Collection, Iterable, Iterator

from portal.access import Role
from portal.brief.finding import Finding
from shots.planning.hazards import named

# Words for findings of a kind, as in Section.kinds.
KINDS = {"hazard": ("hazard", "has no caution beside it", "have no caution beside them")}


def missing(
    begins: str,
    texts: Iterable[str],
    caution: str,
    what: str,
    roles: tuple[Role, ...],
    url: str,
    *,
    said: Collection[str] = (),
) -> Iterator[Finding]:
    """Hazards that `texts` name while the row's field for cautions is empty; those in `said` are told otherwise.

    Worth a look and not a must: words are a hint, and no computation reads whether a caution is a good one.
    """
    if caution.strip():
        return
    for hazard, word in named(texts):
        if hazard.name in said:
            continue
        says = (
            f"{begins} {hazard.name} (“{word}”) and has no caution: say {hazard.asks}. "
            "Local codes and licensed practice decide."
        )
        yield Finding("worth-a-look", says, what, f"{hazard.name}, no caution", roles, url, "hazard")
