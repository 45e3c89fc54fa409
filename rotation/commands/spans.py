"""Stretches of time as people say them: "Sat 18:00-20:00", "Sat-Mon", "2027-03-06 10:00 to 2027-03-07"."""

from __future__ import annotations

import re
from datetime import datetime, time, timedelta

from rotation.errors import BadInput, Mistake
from rotation.reasons.supposed import Span

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")

_DAY = r"(?:\d{4}-\d\d-\d\d|(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*)"
_CLOCK = r"\d{1,2}:\d\d"
_SPAN = re.compile(
    rf"({_DAY})(?:[ t]({_CLOCK}))?(?:\s*(?:-|–|to|until)\s*(?:({_DAY})(?:[ t]({_CLOCK}))?|({_CLOCK})))?(?:[\s,]+(.*))?",
    re.IGNORECASE,
)


def span(said: str, now: datetime, option: str) -> Span:
    """Return what somebody means, in the days after `now` (the household's time). Without an end it is a whole day.

    Raises BadInput for anything else.
    """
    match = _SPAN.fullmatch(" ".join(said.split()))
    example = 'Write "Sat 18:00-20:00", "Sat-Mon" or "2027-03-06 10:00 to 2027-03-07".'
    if match is None:
        raise BadInput(Mistake(option, None, "", f'"{said[:60]}" does not say from when until when.', example))
    try:
        since = _at(_day(match[1], now), match[2] or "0:00")
        if match[5]:
            until = _at(since, match[5])
        elif match[3]:
            day = _day(match[3], since)
            until = _at(day, match[4]) if match[4] else _at(day, "0:00") + timedelta(days=1)
        elif match[2]:
            raise ValueError
        else:
            until = since + timedelta(days=1)
    except ValueError:
        raise BadInput(Mistake(option, None, "", f'"{said[:60]}" does not say until when.', example)) from None
    if until <= since:
        raise BadInput(Mistake(option, None, "", f'"{said[:60]}" ends before it begins.', example))
    return Span(since, until, (match[6] or "").strip().casefold())


def _day(said: str, near: datetime) -> datetime:
    """Return a day: of its date, or the first of its weekday from a moment on."""
    if said[0].isdigit():
        date = datetime.fromisoformat(said)
        return near.replace(year=date.year, month=date.month, day=date.day)
    return near + timedelta(days=(DAYS.index(said[:3].casefold()) - near.weekday()) % 7)


def _at(day: datetime, clock: str) -> datetime:
    hour, minute = clock.split(":")
    return datetime.combine(day.date(), time(int(hour), int(minute)), day.tzinfo)


def moment_and_rest(said: str, now: datetime, option: str) -> tuple[datetime, str]:
    """Return a moment in the days after `now`, and what else is said: "Sat 18:00 6". Raises BadInput."""
    match = re.fullmatch(rf"({_DAY})[ t]({_CLOCK})(?:[\s,]+(.*))?", " ".join(said.split()), re.IGNORECASE)
    try:
        if match is None:
            raise ValueError
        return _at(_day(match[1], now), match[2]), (match[3] or "").strip()
    except ValueError:
        wrong = f'"{said[:60]}" does not say when.'
        raise BadInput(Mistake(option, None, "", wrong, 'Write "Sat 18:00 6", or "2027-03-06 18:00 6".')) from None
