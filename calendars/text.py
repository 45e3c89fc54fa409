"""Makes untrusted text harmless: no control characters, no terminal escapes, no reversed reading order."""

from __future__ import annotations

import re

_TERMINAL = re.compile(
    r"(?:\x1b\[|\x9b)[0-?]*[ -/]*[@-~]?"  # CSI: colours, cursor moves
    r"|(?:\x1b[\]PX^_]|[\x90\x98\x9d-\x9f])[^\x07\x1b\x9c\n]*(?:\x07|\x1b\\|\x9c)?"  # OSC, DCS: titles, links
    r"|\x1b[ -/]*[0-~]?"  # every other escape
)
_BREAKS = re.compile(r"\r\n?|[\x85\u2028\u2029]")
# C0 and C1 controls but tab and newline, bidirectional marks and overrides, byte order marks, lone surrogates.
_HARMFUL = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069\ufeff\ufff9-\ufffb\ufffe\uffff\ud800-\udfff]"
)


def clean_lines(text: str, limit: int = 20_000) -> str:
    """Return the text without anything a terminal, a page or a calendar would act upon; newlines and tabs stay."""
    text = _HARMFUL.sub("", _BREAKS.sub("\n", _TERMINAL.sub("", text[: 4 * limit])))
    return text if len(text) <= limit else text[: limit - 1] + "…"


def clean(text: str, limit: int = 500) -> str:
    """Return the text as one harmless line of at most `limit` characters, for the screen."""
    text = " ".join(clean_lines(text, 4 * limit).split())
    return text if len(text) <= limit else text[: limit - 1] + "…"
