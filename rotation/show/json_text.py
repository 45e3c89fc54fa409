"""JSON as text: readable, the same bytes for the same document."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any


def dumps(document: Mapping[str, Any]) -> str:
    """Return a document as text with a line break at its end."""
    return json.dumps(document, ensure_ascii=False, indent=2) + "\n"
