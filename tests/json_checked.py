"""What a command prints as JSON, held against its schema to the last key."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

from jsonschema import Draft202012Validator

from rotation.commands.schema import KINDS, schema_of

WRITTEN = ("household", "bread", "stock")
"""What people write; all other kinds are printed."""


@cache
def _validators() -> dict[str, Draft202012Validator]:
    """Return what judges a document, by the name it carries."""
    schemas = [schema_of(kind) for kind in KINDS if kind not in WRITTEN]
    return {one["properties"]["schema"]["const"]: Draft202012Validator(_closed(one)) for one in schemas}


def _closed(schema: Any) -> Any:
    """Return a schema that allows no key it does not name."""
    if isinstance(schema, list):
        return [_closed(each) for each in schema]
    if not isinstance(schema, dict):
        return schema
    found = {name: _closed(each) for name, each in schema.items()}
    if schema.get("type") == "object" and isinstance(schema.get("properties"), dict):
        found.setdefault("additionalProperties", False)
    return found


def checked(printed: str) -> dict[str, Any]:
    """Return a printed document. Fails where its schema, named in it, does not allow it."""
    document: dict[str, Any] = json.loads(printed)
    _validators()[document["schema"]].validate(document)
    return document
