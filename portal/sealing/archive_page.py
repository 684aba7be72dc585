"""The pages of an archive that people open without a portal: what was agreed, by whom, in pictures, and the story."""

from collections.abc import Iterator
from itertools import islice
from pathlib import Path
from typing import Any

from django.template.loader import render_to_string
from django.utils.html import format_html

from portal.brief import documents, sections
from portal.brief.fields import EMPTY, Thing, Whole, plain, spoken
from portal.brief.models import Campaign
from portal.record.proving import files_named
from portal.sealing import queries, words
from portal.sealing.carried import entries_of
from portal.talk import subjects

INDEX, STORY, LOOK = "index.html", "story.html", "look.css"
HERE = "portal/sealing/archive/"
_MANY = 500


def pages(campaign: Campaign, draft: documents.Brief, made: set[str]) -> Iterator[tuple[str, Iterator[bytes]]]:
    """Name and bytes of each page. `made`: pictures that are in the archive, by their entries."""
    shown = documents.current(campaign) if campaign.locked_version_id or campaign.open_version_id else draft
    yield INDEX, _index(campaign, shown, made)
    yield STORY, _story(campaign)
    yield LOOK, iter([(Path(__file__).parent / "archive.css").read_bytes()])


def _index(campaign: Campaign, shown: documents.Brief, made: set[str]) -> Iterator[bytes]:
    context = {
        "campaign": campaign,
        "shown": shown,
        "versions": queries.versions(campaign),
        "parts": [_part(campaign, section, shown, made) for section in _sections(shown)],
        "entries": campaign.log_length,
        "head": campaign.log_head,
    }
    yield render_to_string(f"{HERE}index.html", context).encode()


def _sections(shown: documents.Brief) -> list[sections.Section]:
    return [section for section in sections.sections() if section.name in shown.document]


def _part(campaign: Campaign, section: sections.Section, shown: documents.Brief, made: set[str]) -> dict[str, Any]:
    """A section in words: its fields, and each list's rows with their fields and pictures."""
    whole, data = Whole(shown.document), shown.document[section.name]
    named = sorted(set(files_named(data)))
    copies = {sha: copy for sha, copy in section.pictures(campaign, named).items() if copy.path in made}
    lists = {"": data} if isinstance(data, list) else {k: v for k, v in data.items() if _is_list(v)}
    return {
        "title": section.title,
        "digest": shown.digests[section.name],
        "fields": [] if isinstance(data, list) else _fields(section, data, lists),
        "lists": [
            {
                "title": spoken(name).capitalize(),
                "rows": [_row(section.words.lists.get(name), row, whole, copies) for row in rows],
            }
            for name, rows in lists.items()
        ],
    }


def _is_list(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(row, dict) and "id" in row for row in value) and bool(value)


def _fields(section: sections.Section, data: dict[str, Any], lists: dict[str, Any]) -> list[tuple[str, str]]:
    told = []
    flat: dict[str, Any] = {}
    for key, value in data.items():
        if key not in lists:
            flat |= {f"{key}.{name}": held for name, held in value.items()} if isinstance(value, dict) else {key: value}
    for key, value in flat.items():
        field = section.words.fields.get(key)
        said = field.say(value, data) if field else plain(value)
        if said != EMPTY:
            told.append((field.label if field else spoken(key.rpartition(".")[2]), said))
    return told


def _row(thing: Thing | None, row: dict[str, Any], whole: Whole, copies: dict[str, sections.Picture]) -> dict[str, Any]:
    known = thing.fields if thing else {}
    # The keys of rows that its name names already say nothing to a person.
    above = {parent.id for parent in thing.parents(row)} if thing else set()
    told, picture, original = [], None, ""
    for key, field in known.items():
        if (
            key in row
            and (not thing or key not in thing.follows)
            and not (isinstance(row[key], str) and row[key] in above)
        ):
            said = field.say(row[key], row)
            if field.picture:
                picture, original = copies.get(row[key]), row[key]
            if said != EMPTY:
                told.append((field.label, said))
    for key in row.keys() - known.keys() - {"id"} - {covered for field in known.values() for covered in field.covers}:
        told.append((spoken(key), plain(row[key])))
    name = thing.name(row, whole) if thing else str(row.get("name", row["id"]))
    return {"name": name[:1].upper() + name[1:], "fields": told, "picture": picture, "original": original}


def _story(campaign: Campaign) -> Iterator[bytes]:
    """Every act as a sentence, oldest first: written as it is read, for it may be long."""
    head, tail = render_to_string(f"{HERE}story.html", {"campaign": campaign}).split("<!-- story -->")
    yield head.encode()
    entries = entries_of(campaign)
    while some := list(islice(entries, _MANY)):
        named = subjects.many(campaign, {entry.subject for entry in some})
        for entry in some:
            says = words.say(entry, named)
            line = format_html("<li><time>{}</time> {}</li>\n", f"{entry.at:%d %b %Y, %H:%M} UTC", says)
            yield line.encode()
    yield tail.encode()
