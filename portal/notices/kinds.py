"""The kinds of notices: what the mail says of each, and who may be told of it."""

from collections.abc import Mapping
from dataclasses import dataclass

from portal.access import May
from portal.changes import wording as changes
from portal.sealing.models import LogEntry
from portal.site.sentences import sentence


@dataclass(frozen=True)
class Kind:
    """`says`: the mail's line, str.format over the log entry's payload with {who} and {thing} (what it is about).

    Never what was written, drawn or paid, nor who was a guest: who has the mail need not have the campaign. `reads`:
    who may not any more is not told; of talk the audience asks besides.
    """

    says: str
    reads: May


KINDS: dict[str, Kind] = {
    "sign": Kind("{who} put version {number} forward, and your signature is asked for", May.SIGN_OFF),
    "turn": Kind("{who} signed version {number}, and now your signature is asked for", May.SIGN_OFF),
    "stand-in": Kind("From today you may sign for somebody, and version {number} waits for it", May.READ_VERSIONS),
    "declined": Kind("{who} declined version {number}, so the brief is open again", May.READ_VERSIONS),
    "withdrawn": Kind("{who} withdrew version {number}, so there is nothing to sign for now", May.READ_VERSIONS),
    "locked": Kind("The brief is locked as version {number}", May.READ_VERSIONS),
    "delegated": Kind("{who} asks you to sign in their place, from {first_day} to {last_day}", May.READ_VERSIONS),
    "delegation-ended": Kind("You no longer sign in the place of {signer_name}", May.READ_VERSIONS),
    "recipe": Kind("{who} asks whether a recipe is the one that is sold", May.CONFIRM_RECIPE),
    "recipe-confirmed": Kind("{who} confirmed a recipe as sold", May.READ_DRAFT),
    "change": Kind("{who} raised change {number}, which waits for a decision", May.DECIDE_CHANGE),
    "pivot": Kind("{who} recorded change {number} on set{on_set}. It waits for a decision", May.DECIDE_CHANGE),
    "change-accepted": Kind("{who} accepted change {number}", May.READ_VERSIONS),
    "change-refused": Kind("{who} refused change {number}", May.READ_VERSIONS),
    "waiver": Kind("{who} waived something that had to be fixed", May.READ_DRAFT),
    "overlays": Kind("{who} asked for the pictures for live view of shot {number}", May.EDIT_CAMERA),
    "capture-unserved": Kind(
        "{who} accepted a capture plan for shot {number} by which no single frame serves every placement",
        May.UPLOAD_LAYOUTS,
    ),
    "comment": Kind("{who} wrote a comment on {thing}", May.COMMENT),
    "answer": Kind("{who} answered a comment on {thing}", May.COMMENT),
    "fault": Kind("{thing}: something in the layout that you sent must be mended", May.READ_DRAFT),
    "unread": Kind("{thing}: the file that you sent could not be read", May.READ_DRAFT),
    "overlays-undrawn": Kind(
        "{thing}: pictures for live view that you asked for could not be drawn", May.READ_VERSIONS
    ),
}


def say(kind: str, entry: LogEntry | None, things: Mapping[str, str], subject: str) -> str:
    """A notice's line as a sentence. `things` names subjects that are still there."""
    payload = dict(entry.payload) if entry else {}
    about = entry.subject if entry and entry.subject in things else subject
    words = payload | {"on_set": changes.on_set(payload)}
    words |= {"who": entry.actor_name if entry else "Somebody", "thing": things.get(about, _GONE)}
    return sentence(KINDS[kind].says.format_map(_Known(words)))


# Of what has been taken out since.
_GONE = "something that is no longer in the brief"


class _Known(dict[str, object]):
    """An entry of another release may lack a word: the line is still read."""

    def __missing__(self, _: str) -> str:
        return "…"
