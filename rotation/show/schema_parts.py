"""What JSON Schemas of our documents are made of."""

from __future__ import annotations

from typing import Any

Json = dict[str, Any]

TIME: Json = {
    "type": "string",
    "pattern": r"^\d{4}-\d\d-\d\dT\d\d:\d\d[+-]\d\d:\d\d$",
    "description": "ISO 8601, the household's local time with its offset",
}
TEXT: Json = {"type": "string"}
ID: Json = {"type": "string", "minLength": 1}
FLAG: Json = {"type": "boolean"}
COUNT: Json = {"type": "integer", "minimum": 0}
WHOLE: Json = {"type": "integer"}
MAYBE_WHOLE: Json = {"type": ["integer", "null"]}
SHORT: Json = {
    "type": ["string", "null"],
    "description": "its name for `rotation done`; null: nothing to be said of it",
}
DATE: Json = {"type": "string", "pattern": r"^\d{4}-\d\d-\d\d$"}


def object_(properties: Json) -> Json:
    """Return the schema of an object with all of these keys, and maybe others."""
    return {"type": "object", "properties": properties, "required": list(properties)}


def document(title: str, name: str, properties: Json) -> Json:
    """Return the schema of a whole document of a household. name: its name and version."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:bread-rotation:{name}",
        "title": title,
        **object_({"schema": {"const": name}, "household": said(TEXT, "its name"), **properties}),
    }


def list_(properties: Json, meaning: str = "") -> Json:
    """Return the schema of a list of things, each with an id."""
    listed: Json = {"type": "array", "items": object_({"id": ID, **properties})}
    return said(listed, meaning) if meaning else listed


def or_null(schema: Json) -> Json:
    """Return a schema, or null."""
    return {"anyOf": [schema, {"type": "null"}]}


def said(schema: Json, meaning: str) -> Json:
    """Return a schema with what it means."""
    return {**schema, "description": meaning}
