"""What is tried on a plan's page: settings from an address, the plan that they give, and addresses that try more."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.http import QueryDict
from django.urls import reverse

from layouts.capture import queries
from layouts.capture.forms import TryForm
from layouts.capture.levers import Answer
from layouts.capture.queries import Drawn

_NAMES = ("margin", "enlargement", "hero", "camera", "down")


@dataclass(frozen=True)
class Trial:
    """The plan as it is kept, the form, and the plan as the form has it: the very one that is kept, where it is."""

    kept: Drawn
    drawn: Drawn
    form: TryForm

    @property
    def differs(self) -> bool:
        return self.drawn is not self.kept

    @property
    def valid(self) -> bool:
        return not self.form.errors

    @property
    def another_camera(self) -> bool:
        """Tried with another camera than the shot's, which is settled on the shot's page."""
        return self.valid and self.form.cleaned_data["camera"] is not None

    @property
    def smaller_hero(self) -> bool:
        """Tried with a hero smaller than its zone, which the designer has to allow."""
        return self.valid and self.form.cleaned_data["down"] is not None

    @property
    def can_be_kept(self) -> bool:
        return self.valid and self.drawn.plan is not None and not self.another_camera and not self.smaller_hero

    @property
    def sent_along(self) -> list[tuple[str, str]]:
        """Names and values that the form which accepts sends with it: the settings that are seen."""
        found = [(name, self._value(name)) for name in ("margin", "enlargement", "hero")]
        return [("set", "1"), *found, *(("drop", key) for key in self._dropped)]

    @property
    def query(self) -> str:
        return self._query({})

    def changes(self) -> list[tuple[Answer, str]]:
        """What would change the plan, each with the address that tries it on top of this; "" where none does."""
        here = reverse("layouts:capture", args=[self.kept.rows.campaign.key, self.kept.asked.shot.key])
        return [
            (one, f"{here}?{self._query(one.tries)}#plan" if one.tries is not None else "")
            for one in queries.changes(self.drawn)
        ]

    def _value(self, name: str) -> str:
        return str(self.form.data.get(name, ""))

    @property
    def _dropped(self) -> list[str]:
        return list(self.form.data.getlist("drop"))  # type: ignore[attr-defined]

    def _query(self, tries: Mapping[str, str]) -> str:
        values = {name: tries.get(name, self._value(name)) for name in _NAMES}
        drop = (set(self._dropped) | {tries.get("without", "")}) - {tries.get("with", ""), ""}
        return urlencode([("set", "1"), *values.items(), *(("drop", key) for key in sorted(drop))])


def tried(kept: Drawn, data: QueryDict) -> Trial:
    """What these values try. "set" says that all of the form was sent, so that no tick means that none was ticked."""
    settings, formats = kept.asked.settings, queries.formats(kept.rows)
    start = {
        "margin": f"{100 * settings.margin:g}",
        "enlargement": f"{settings.enlargement:g}",
        "hero": f"{settings.hero_aspect:g}" if settings.hero_aspect else "",
    }
    dropped = queries.dropped_formats(kept.rows, settings.dropped)
    filled = QueryDict(mutable=True)
    filled.update({name: data.get(name, start.get(name, "")) for name in _NAMES})
    filled.setlist("drop", data.getlist("drop") if "set" in data or "drop" in data else dropped)
    form = TryForm(filled, formats=formats)
    if not form.is_valid() or not any(name in data for name in (*_NAMES, "drop", "set")):
        return Trial(kept, kept, form)
    levers = _levers(kept, form.cleaned_data)
    return Trial(kept, queries.of_rows(kept.rows, **levers) if levers else kept, form)


def _levers(kept: Drawn, got: Mapping[str, Any]) -> dict[str, Any]:
    """What of it differs from what is kept."""
    settings = kept.asked.settings
    hero = got["hero"]
    if hero and settings.hero_aspect and f"{hero:g}" == f"{settings.hero_aspect:g}":
        hero = settings.hero_aspect  # the form shows six figures of it
    found: dict[str, Any] = {
        "margin": settings.margin if got["margin"] is None else round(got["margin"] / 100, 6),
        "enlargement": settings.enlargement if got["enlargement"] is None else got["enlargement"],
        "hero_aspect": hero,
    }
    if set(got["drop"]) != set(queries.dropped_formats(kept.rows, settings.dropped)):
        found["dropped"] = queries.placements_of(kept.rows, got["drop"])
    if got["camera"]:
        found["camera"] = got["camera"]
    if got["down"]:
        found["tolerances"] = {seen.placement.key: got["down"] for seen in kept.rows.seen}
    return {name: value for name, value in found.items() if value != getattr(settings, name)}
