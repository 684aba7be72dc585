"""Forms that several people may have open at once: they carry what was read, and show both where both have written."""

import json
from collections.abc import Callable, Collection, Iterable, Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict

from portal.brief.both import ChangedMeanwhile, Read, Theirs, plain, since, told

READ = "as_read"
KEEP = "keep-"
Make = Callable[[Any], Any]


def read_of(post: QueryDict) -> Read:
    """The fields as the sent form read them; None where it carries nothing.

    What is no JSON object counts as nothing known, so that every field which now stands otherwise is asked about.
    """
    if READ not in post:
        return None
    try:
        found = json.loads(post.get(READ) or "")
    except ValueError:
        return {}
    return found if isinstance(found, dict) else {}


def length_of(post: QueryDict) -> int | None:
    """The length of the log as the sent form read it; None where it carries nothing."""
    sent = post.get(READ)
    return None if sent is None else int(sent) if sent.isascii() and sent.isdigit() else 0


def arrived(request: Any, acts: Iterable[str], on: Collection[str]) -> list[str]:
    """What others sent for these things after the log was `?since` long, for whoever sent a file at the same time."""
    length = request.GET.get("since", "")
    if not (on and length.isascii() and length.isdigit()):
        return []
    return told(request.member, since(request.member, int(length), acts, on))


def carrying(form: Any, read: Read) -> Any:
    """The form, made to carry what was read; the tag `as_read` writes it."""
    form.read = read
    return form


def written(read: Any) -> str:
    """What a form read, as its hidden field has it."""
    return json.dumps(plain(read), ensure_ascii=False)


def sent(post: QueryDict, make: Make, act: Callable[..., Any], *, unchecked: bool = False) -> tuple[Any, Any]:
    """Do what a form asks for: what `act(form, read=…)` gave, or None, and the form to show again.

    `make(data)` makes the form of the thing as it now stands; None for `data` shows what stands. `unchecked`: the act
    needs nothing of what the form's fields hold.
    """
    data = _taken(post, make)
    form = carrying(make(data), read_of(post))
    if not form.is_valid() and not unchecked:
        return None, form
    try:
        return act(form, read=form.read), form
    except ChangedMeanwhile as changed:
        return None, _both(data, make, changed)
    except ValidationError as refused:
        form.add_error(None, refused)
        return None, form


def _both(data: QueryDict, make: Make, changed: ChangedMeanwhile) -> Any:
    """The form with my words in the fields that I changed, what stands in the others, and theirs beside mine."""
    others = set(changed.stands) - changed.mine
    form = carrying(make(_over(data, make(None), others)), changed.stands)
    form.both = {name: Shown(one, form, name) for name, one in changed.theirs.items()}
    for name, one in changed.theirs.items():
        form.add_error(name if name in form.fields else None, one.says)
    return form


def _taken(post: QueryDict, make: Make) -> QueryDict:
    """What was sent, with what stands in the fields where theirs is to stay."""
    taken = {name.removeprefix(KEEP) for name in post if name.startswith(KEEP) and post[name] == "theirs"}
    if not taken:
        return post
    fresh = make(None)
    prefix = fresh.add_prefix("")
    return _over(post, fresh, {name.removeprefix(prefix) for name in taken})


def _over(data: QueryDict, fresh: Any, names: Iterable[str]) -> QueryDict:
    """A form's data with these fields as the fresh form shows them.

    A form says in `belongs` which of its fields help another: {"none_of_them": "allergens"}.
    """
    changed, names = data.copy(), set(names)
    belongs: Mapping[str, str] = getattr(fresh, "belongs", {})
    for name in fresh.fields:
        if belongs.get(name, name) in names:
            changed.setlist(fresh.add_prefix(name), _as_sent(fresh[name]))
    return changed


def _as_sent(bound: Any) -> list[str]:
    """What a browser sends for a field that is left as it is shown."""
    value, widget = bound.value(), bound.field.widget
    if isinstance(widget, forms.CheckboxInput):
        return ["on"] if value else []
    shown = widget.format_value(value)
    if shown is None:
        return [""]
    return [str(one) for one in shown] if isinstance(shown, list | tuple) else [str(shown)]


class Shown:
    """Somebody else's words beside a field: what stands, as people read it."""

    def __init__(self, theirs: Theirs, form: Any, name: str) -> None:
        self.theirs, self.name = theirs, name
        self._field = form.fields.get(name)

    @property
    def words(self) -> str:
        value = self.theirs.now
        choices = dict(getattr(self._field, "choices", None) or ())
        if isinstance(value, list):
            return ", ".join(str(choices.get(one, one)) for one in value) or "none"
        if isinstance(value, bool):
            return "yes" if value else "no"
        return "nothing" if value is None or value == "" else str(choices.get(value, value))
