"""The published schemas of an archive, JSON Schema (draft 2020-12), drawn from the registry and the tables."""

from typing import Any

from django.db import models

from portal.brief import sections
from portal.brief.fields import Field, Thing
from portal.brief.sections import Section
from portal.record import chain
from portal.sealing import carried

_DIALECT = "https://json-schema.org/draft/2020-12/schema"
_SHA256 = {"type": "string", "pattern": "^[0-9a-f]{64}$"}
_TYPES: list[tuple[type, dict[str, Any]]] = [
    (models.JSONField, {}),
    (models.BooleanField, {"type": "boolean"}),
    (models.IntegerField, {"type": "integer"}),
    (models.ForeignKey, {"type": "integer"}),
    (models.FloatField, {"type": "number"}),
    (models.DateTimeField, {"type": "string", "format": "date-time"}),
    (models.DateField, {"type": "string", "format": "date"}),
]


def all_of_them() -> dict[str, dict[str, Any]]:
    """Every schema by its name: of a document, of a line of the log, of the manifest, of each table's lines."""
    return {
        "document": document(),
        "log-entry": log_entry(),
        "manifest": manifest(),
        **{carried.name_of(table): row(table) for table in carried.tables()},
    }


def _object(title: str, properties: dict[str, Any], required: list[str], **more: Any) -> dict[str, Any]:
    return {"title": title, "type": "object", "properties": properties, "required": required, **more}


def document() -> dict[str, Any]:
    """A version's document. Sections of other releases, and fields of later ones, may be there too."""
    properties = {section.name: _section(section) for section in sections.sections()}
    says = (
        "The brief as it was put forward, in canonical form (RFC 8785). A section's digest is the SHA-256 of its own "
        "canonical form; the version's is that of the map from section to digest."
    )
    return {"$schema": _DIALECT, **_object("Brief", properties, ["campaign"], description=says)}


def _section(section: Section) -> dict[str, Any]:
    words = section.words
    if "" in words.lists:
        return {"title": section.title} | _rows(words.lists[""])
    properties: dict[str, Any] = {name: _rows(thing) for name, thing in words.lists.items()}
    for path, field in words.fields.items():
        *above, key = path.split(".")
        held = properties
        for step in above:
            held = held.setdefault(step, {"type": "object", "properties": {}})["properties"]
        held[key] = _field(field)
    if not properties:
        return {"title": section.title}
    return _object(section.title, properties, [])


def _rows(thing: Thing) -> dict[str, Any]:
    fields = {key: _field(field) for key, field in thing.fields.items()}
    key = {"type": "string", "description": "Stable: the same in every version."}
    return {"type": "array", "items": _object(thing.noun or "row", {"id": key, **fields}, ["id"])}


def _field(field: Field) -> dict[str, Any]:
    return {"description": field.label, **field.schema}


def log_entry() -> dict[str, Any]:
    text = {"type": "string"}
    properties = {name: dict(text) for name in chain.FIELDS} | {
        "kind": {"const": "log entry"},
        "sequence": {"type": "integer", "minimum": 1},
        "at": {"type": "string", "format": "date-time"},
        "payload": {"type": "object"},
        "before": {**_SHA256, "description": "Digest of the entry before this one; 64 zeros for the first."},
        "digest": {
            **_SHA256,
            "description": "SHA-256 of the canonical form (RFC 8785) of all other keys of this schema.",
        },
    }
    needed = sorted(properties)
    rows = "SHA-256 of the digests of the rows that the act wrote; not there where it wrote none."
    properties[chain.ROWS] = {**_SHA256, "description": rows}
    return {"$schema": _DIALECT, **_object("Log entry", properties, needed)}


def manifest() -> dict[str, Any]:
    entry = _object("Entry", {"sha256": _SHA256, "bytes": {"type": "integer", "minimum": 0}}, ["sha256", "bytes"])
    campaign = _object(
        "Campaign", {key: {"type": "string"} for key in ("key", "code", "title")}, ["key", "code", "title"]
    )
    log = _object("Log", {"entries": {"type": "integer", "minimum": 0}, "head": _SHA256}, ["entries", "head"])
    properties = {
        "format": {"const": "campaign archive"},
        "release": {"type": "integer", "minimum": 1},
        "campaign": campaign,
        "written_at": {"type": "string", "format": "date-time"},
        "log": log,
        "draft": {**_SHA256, "description": "Digest of the draft as it stood."},
        "tables": {"type": "array", "items": {"type": "string"}},
        "sections": {"type": "object", "additionalProperties": {"type": "string"}},
        "entries": {"type": "object", "additionalProperties": entry},
    }
    return {"$schema": _DIALECT, **_object("Manifest", properties, sorted(properties))}


def row(table: carried.Table) -> dict[str, Any]:
    """A line of a table's entry; references are the `id` of a row in another entry."""
    properties: dict[str, Any] = {"id": {"type": "integer"}}
    for field in carried.fields(table):
        told: dict[str, Any] = next(
            (dict(schema) for kind, schema in _TYPES if isinstance(field, kind)), {"type": "string"}
        )
        if field.null and "type" in told:
            told["type"] = [told["type"], "null"]
        if isinstance(field, models.ForeignKey):
            told["description"] = f"id in {carried.name_of(field.related_model)}"
        elif field.max_length and not field.choices:
            told["maxLength"] = field.max_length
        if field.choices:
            told["enum"] = [""] * field.blank + [value for value, _ in field.flatchoices] + [None] * field.null
        properties[field.attname] = told
    return {
        "$schema": _DIALECT,
        **_object(carried.name_of(table), properties, sorted(properties), additionalProperties=False),
    }
