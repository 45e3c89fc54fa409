"""Which events of a calendar a rule is about."""

from __future__ import annotations

import re
from collections.abc import Iterable
from fnmatch import translate
from typing import Annotated

from pydantic import AfterValidator, Field

from rotation.household.values import Many, Settings, Text


def _pattern(value: str) -> str:
    if len(value) > 1 and value.startswith("/") and value.endswith("/"):
        try:
            re.compile(value[1:-1])
        except re.error as error:
            raise ValueError(
                f'is not a regular expression ({error}); a plain word needs no slashes: "dinner"'
            ) from None
    return value


Pattern = Annotated[Text, AfterValidator(_pattern), Field(examples=["dinner"])]
"""Plain words found anywhere as whole words; with * or ? a pattern for the whole text; between slashes a regular
expression. Capitals do not matter."""


def found(pattern: str, text: str) -> bool:
    """Say whether a pattern matches a text from a calendar (its first 500 characters)."""
    text = text[:500]
    if len(pattern) > 1 and pattern.startswith("/") and pattern.endswith("/"):
        return re.search(pattern[1:-1], text, re.IGNORECASE) is not None
    if "*" in pattern or "?" in pattern:
        return re.match(translate(pattern), text, re.IGNORECASE | re.DOTALL) is not None
    return re.search(rf"(?<!\w){re.escape(pattern)}(?!\w)", text, re.IGNORECASE) is not None


class Match(Settings):
    """Which events are meant. Every line given must hold; of a list, one is enough."""

    summary: Many[Pattern] = ()
    category: Many[Pattern] = ()
    place: Many[Pattern] = ()
    calendar: Many[Text] = ()

    @property
    def anything(self) -> bool:
        """Whether nothing was asked for, so that every event matches."""
        return not (self.summary or self.category or self.place or self.calendar)

    def matches(
        self, *, summary: str = "", categories: Iterable[str] = (), place: str = "", calendar: str = ""
    ) -> bool:
        """Say whether an event with these texts is meant."""
        return (
            (not self.summary or any(found(pattern, summary) for pattern in self.summary))
            and (not self.category or any(found(p, category) for p in self.category for category in categories))
            and (not self.place or any(found(pattern, place) for pattern in self.place))
            and (not self.calendar or calendar.casefold() in {name.casefold() for name in self.calendar})
        )
