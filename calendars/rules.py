"""Recurrence rules (RFC 5545, 3.3.10) as data, refused before any work where they are malformed or far too dense."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Any

from calendars.text import clean

MOST_A_DAY = 288
"""A rule that gives more instances a day than one every five minutes is no family's event."""
LARGEST_INTERVAL = 1_000_000

_WEEKDAYS = {"MO": 0, "TU": 1, "WE": 2, "TH": 3, "FR": 4, "SA": 5, "SU": 6}
UNIT_SECONDS = {"SECONDLY": 1, "MINUTELY": 60, "HOURLY": 3600}
"""The frequencies below a day, and how long their unit is."""
_FREQUENCIES = (*UNIT_SECONDS, "DAILY", "WEEKLY", "MONTHLY", "YEARLY")
_WEEKDAY = re.compile(r"([+-]?\d{1,2})?(MO|TU|WE|TH|FR|SA|SU)")


class BadRule(ValueError):
    """The rule is malformed or unreasonable; `str(error)` continues "Dentist …" in plain words."""


@dataclass(frozen=True)
class Rule:
    """A parsed RRULE. weekdays: (n, day) with Monday 0 and n = 0 for every such day. until: as written, or ""."""

    frequency: str
    interval: int = 1
    count: int | None = None
    until: str = ""
    week_start: int = 0
    months: frozenset[int] = frozenset()
    weeks: frozenset[int] = frozenset()
    year_days: frozenset[int] = frozenset()
    month_days: frozenset[int] = frozenset()
    weekdays: frozenset[tuple[int, int]] = frozenset()
    hours: frozenset[int] = frozenset()
    minutes: frozenset[int] = frozenset()
    seconds: frozenset[int] = frozenset()
    positions: frozenset[int] = frozenset()


_NUMBERS = {  # part: field, least, most, negative allowed
    "BYMONTH": ("months", 1, 12, False),
    "BYWEEKNO": ("weeks", 1, 53, True),
    "BYYEARDAY": ("year_days", 1, 366, True),
    "BYMONTHDAY": ("month_days", 1, 31, True),
    "BYHOUR": ("hours", 0, 23, False),
    "BYMINUTE": ("minutes", 0, 59, False),
    "BYSECOND": ("seconds", 0, 60, False),
    "BYSETPOS": ("positions", 1, 366, True),
}


def parse_rule(text: str) -> Rule:
    """Return the rule written as "FREQ=WEEKLY;BYDAY=TU". Raises BadRule where it is malformed or too dense."""
    fields: dict[str, Any] = {}
    for part in filter(None, text.upper().replace(" ", "").split(";")):
        name, equals, value = part.partition("=")
        if not equals or not value:
            raise BadRule(f"repeats by a rule that cannot be read ({clean(part, 40)})")
        if name == "FREQ":
            fields["frequency"] = value
        elif name in ("INTERVAL", "COUNT"):
            fields[name.lower()] = _number(value, 1, LARGEST_INTERVAL, name)
        elif name == "UNTIL":
            fields["until"] = value
        elif name == "WKST" and value in _WEEKDAYS:
            fields["week_start"] = _WEEKDAYS[value]
        elif name == "BYDAY":
            fields["weekdays"] = frozenset(_weekday(each) for each in value.split(","))
        elif name in _NUMBERS:
            field, least, most, signed = _NUMBERS[name]
            fields[field] = frozenset(_number(each, least, most, name, signed) for each in value.split(","))
        elif not name.startswith("X-"):
            raise BadRule(f"repeats by a rule that cannot be read ({clean(part, 40)})")
    if fields.get("frequency") not in _FREQUENCIES:
        raise BadRule("repeats by a rule without a known frequency")
    rule = Rule(**fields)
    rule = replace(rule, seconds=frozenset(min(second, 59) for second in rule.seconds))
    if _most_a_day(rule) > MOST_A_DAY:
        raise BadRule(f"repeats {_most_a_day(rule):,} times a day, which no family's event does")
    return rule


def _number(text: str, least: int, most: int, name: str, signed: bool = False) -> int:
    """Return the number, which lies between least and most, or as far below zero where that has a meaning."""
    digits = text[1:] if text[:1] in ("+", "-") else text
    value = int(digits) if digits.isascii() and digits.isdigit() and len(digits) < 10 else -1
    if not least <= value <= most or (text.startswith("-") and not signed):
        raise BadRule(f"repeats by a rule that cannot be read ({name}={clean(text, 20)})")
    return -value if text.startswith("-") else value


def _weekday(text: str) -> tuple[int, int]:
    """Return "-1FR" as (-1, 4)."""
    match = _WEEKDAY.fullmatch(text)
    if match is None or not -53 <= int(match[1] or 1) <= 53 or int(match[1] or 1) == 0:
        raise BadRule(f"repeats by a rule that cannot be read (BYDAY={clean(text, 20)})")
    return int(match[1] or 0), _WEEKDAYS[match[2]]


def _most_a_day(rule: Rule) -> int:
    """Return how many instances one day can hold at most."""
    unit = UNIT_SECONDS.get(rule.frequency, 86_400)
    hours = len(rule.hours) or (24 if unit < 86_400 else 1)
    minutes = len(rule.minutes) or (60 if unit < 3600 else 1)
    seconds = len(rule.seconds) or (60 if unit < 60 else 1)
    times = hours * minutes * seconds
    if unit < 86_400:  # only every so-manieth unit of the day is looked at, each giving what is below it
        below = {3600: minutes * seconds, 60: seconds, 1: 1}[unit]
        times = min(times, -(-86_400 // (unit * rule.interval)) * below)
    return min(times, rule.count or times)
