"""What the log says of each act: a catalogue of sentences, and a readable way out for acts that have none."""

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from portal.brief.fields import said_day
from portal.sealing.models import LogEntry
from portal.site.sentences import count
from portal.talk.subjects import Subject

_SHOWN = 4  # changes that one line names
_LONGEST = 80
_EMPTY = "empty"
_UNITS = ("px", "mm", "m", "minutes")

# A sentence with gaps, or what makes one of the words for them.
Sentence = str | Callable[[Mapping[str, Any]], str]
_sentences: dict[str, Sentence] = {}


class _Number(int):
    """A number of the payload, which a sentence may count in: "{served:placement}" is "seven placements"."""

    def __format__(self, noun: str) -> str:
        return count(self, noun) if noun else str(int(self))


def register(sentences: Mapping[str, Sentence]) -> None:
    """Add sentences for acts: str.format over the entry's payload, with {who}, {subject} and {changes}.

    A whole number takes the noun that it counts: "{captures:capture}". Where an act has more than one sentence, a
    function is given the same words and chooses.
    """
    _sentences.update(sentences)


def say(entry: LogEntry, subjects: Mapping[str, Subject]) -> str:
    """The entry as a sentence. `subjects` has labels of what is talked about, where they are still there."""
    label = subjects[entry.subject].within if entry.subject in subjects else ""
    kind = entry.subject.partition("/")[0]
    words = {key: _Number(value) if type(value) is int else value for key, value in entry.payload.items()}
    words |= {"who": entry.actor_name, "subject": label or f"a {kind}" if kind else "the campaign"}
    words["changes"] = _listed(entry.payload)
    # Who signs or declines in a signer's place.
    words["for_whom"] = f" for {entry.payload['signer_name']}" if "signer_name" in entry.payload else ""
    # How a change made on set was decided by a signer who was not there.
    words["away"] = f", {entry.payload['away']}" if "away" in entry.payload else ""
    if found := _sentences.get(entry.act):
        try:
            words |= {key: said_day(value) for key, value in entry.payload.items() if key.endswith("_day")}
            return _ended(found.format(**words) if isinstance(found, str) else found(words))
        except (LookupError, AttributeError, ValueError, TypeError):
            pass  # an older or a foreign portal's entry may lack what today's sentence names: it is still read below
    return _plainly(entry, label)


def _plainly(entry: LogEntry, label: str) -> str:
    """ "Ida Moss (Props stylist) edited the prop Slate vase: quantity 2, was 1." """
    thing, _, done = entry.act.partition(".")
    name = _name(entry.payload)
    of = f" of {label}" if label and label.partition(" ")[0].lower() != thing else ""
    what = label if label and not of else f"the {thing}{f' {name}' if name else ''}{of}"
    said = f"{entry.actor_name} {done.replace('-', ' ') or 'noted'} {what}"
    changes = _listed(entry.payload)
    return _ended(f"{said}: {changes}" if changes else said)


def _listed(payload: Mapping[str, Any]) -> str:
    changes = list(_changes(payload))
    more = f"; and {len(changes) - _SHOWN} more" if len(changes) > _SHOWN else ""
    return "; ".join(changes[:_SHOWN]) + more


def _name(payload: Mapping[str, Any]) -> str:
    for place in (payload, payload.get("now"), payload.get("was")):
        if isinstance(place, Mapping):
            for word in ("name", "title"):
                if isinstance(place.get(word), str) and place[word]:
                    return _short(place[word])
    return ""


def _changes(payload: Mapping[str, Any]) -> Iterable[str]:
    """What became of each field, where the payload has both `was` and `now`."""
    was, now = payload.get("was"), payload.get("now")
    if isinstance(was, Mapping) and isinstance(now, Mapping):
        for field in now:
            before = _short(was.get(field))
            told = _measured(field, now[field])
            # A sentence of somebody's own ends in a full stop, and ours goes on.
            yield f"{told.removesuffix('.')}, was {before}" if before != _EMPTY else told


def _measured(field: str, value: Any) -> str:
    """A field and its value as people say it: width_px 8192 is "width 8192 px"."""
    name, _, unit = field.rpartition("_")
    if name and unit in _UNITS and isinstance(value, int | float):
        return f"{name.replace('_', ' ')} {_short(value)} {unit}"
    return f"{field.replace('_', ' ')} {_short(value)}"


def _short(value: Any) -> str:
    if value is None or value == "" or value == []:
        return _EMPTY
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, list):
        value = ", ".join(_short(part) for part in value)
    text = " ".join(str(value).split())
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1]}…"


def _ended(text: str) -> str:
    # What somebody wrote may end a sentence of ours, with a full stop of its own.
    if text.endswith("..") and not text.endswith("..."):
        return text[:-1]
    return text if text.endswith((".", "?", "!", "…")) else f"{text}."


register({
    "campaign.started": "{who} started the campaign.",
    "terms.settled": "{who} changed the terms: {changes}.",
    "version.put-forward": "{who} put version {number} forward to be signed.",
    "version.withdrawn": "{who} withdrew version {number}: {reason}",
    "version.signed": "{who} signed version {number}{for_whom}.",
    "version.declined": "{who} declined version {number}{for_whom}: {reason}",
    "version.locked": "Version {number} is locked with its last signature.",
    "terms.round-priced": "{who} set what a further round of amends costs: {changes}.",
    "signing.delegated": "{who} asked {name} to sign for them from {first_day} to {last_day}.",
    "signing.delegation-ended": "{who} ended that {name} signs{for_whom}{because}.",
    "comment.written": "{who} wrote a comment on {subject}.",
    "comment.answered": "{who} answered a comment on {subject}.",
    "comment.resolved": "{who} resolved a comment on {subject}.",
    "comment.reopened": "{who} opened a comment on {subject} again.",
    "member.joined": "{who} joined the campaign.",
    "member.removed": "{who} took {name} out of the campaign.",
    "shot.added": "{who} added shot {number}, {now[title]}.",
    "shot.removed": "{who} took out shot {was[number]}, {was[title]}.",
    "mockup.sent": "{who} sent a mockup of {subject}, revision {revision}: {name}",
    "hero.marked": "{who} marked the hero zone of {subject}.",
    "layout.sent": "{who} sent a layout for {subject}, revision {revision}: {name}",
    "recipe.asked": "{who} asked the client to confirm the recipe {recipe}, {recipe_version}.",
    "recipe.confirmed": "{who} confirmed that {recipe}, {recipe_version}, is as sold.",
})  # fmt: skip
