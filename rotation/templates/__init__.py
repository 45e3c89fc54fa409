"""The commented files a new household begins with, filled in from six answers."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from importlib.resources import files
from string import Template
from zoneinfo import ZoneInfo

BREADS = ("country", "tin", "rolls")
"""Breads that come with it; each is a file of `breads/`."""

FORMS = {"country": "part-baked", "tin": "sliced", "rolls": "part-baked"}
UNITS = {"country": 1, "tin": 16, "rolls": 1}
"""Units of one piece in the freezer: a tin loaf lies there in slices."""

LOAF_LITRES, ROLLS_LITRES = 3.5, 6.0
"""Freezer room of a bagged loaf (F11), and of a bag of a dozen rolls and a half."""


@dataclass(frozen=True)
class Answers:
    """What the six questions bring; each default is the answer of `--yes`.

    others: grown-ups who do not bake; children: names and ages. in_weekdays, free_weekdays: hours as written.
    in_freezer: `(bread, pieces)`. calendars: paths of people's calendars; if there is none, an example is written.
    today: for dates in the examples.
    """

    today: date
    name: str = "Home"
    zone: str = "Europe/Berlin"
    breads: tuple[str, ...] = BREADS
    loaves_a_week: float = 3.0
    lunch_slices: int = 0
    bakers: tuple[str, ...] = ("Jo",)
    others: tuple[str, ...] = ()
    children: tuple[tuple[str, int], ...] = ()
    in_weekdays: tuple[str, ...] = ("06:30-07:45", "17:00-22:30")
    free_weekdays: tuple[str, ...] = ("17:30-21:30",)
    freezer_loaves: int = 4
    in_freezer: tuple[tuple[str, int], ...] = ()
    vessels: int = 1
    tins: int = 2
    fan: bool = False
    calendars: tuple[str, ...] = ()
    nobody_eats: tuple[str, ...] = ()


def laid_out(answers: Answers) -> dict[str, str]:
    """Return the text of every file of a new household, by its path within the folder."""
    written = {
        "household.toml": _household(answers),
        "stock.toml": _filled("stock.toml", lots="".join(_lot(answers, *held) for held in answers.in_freezer)),
        ".gitignore": "# What the household remembers: the freezer's ledger and the plans.\n.rotation/\n",
        "calendars/oven.ics": _example(answers, "calendars/oven.ics"),
    }
    if not answers.calendars:
        written["calendars/family.ics"] = _example(answers, "calendars/family.ics")
    for bread in answers.breads:
        written[f"breads/{bread}.toml"] = _filled(f"breads/{bread}.toml", tins=_toml([*range(1, answers.tins + 1)]))
    return written


def _household(answers: Answers) -> str:
    people = [_person(answers, name, bakes=True) for name in answers.bakers]
    people += [_person(answers, name, bakes=False) for name in answers.others]
    people += [_person(answers, name, bakes=False, age=age) for name, age in answers.children]
    named = [(f"Family {place}" if place > 1 else "Family", path, "people") for place, path in enumerate(
        answers.calendars or ("calendars/family.ics",), 1)]  # fmt: skip
    calendars = [_calendar(*one) for one in (*named, ("Oven", "calendars/oven.ics", "oven"))]
    return _filled(
        "household.toml",
        name=answers.name,
        name_text=_toml(answers.name),
        zone=_toml(answers.zone),
        nobody_eats=_toml(answers.nobody_eats),
        people="".join(people),
        calendars="".join(calendars),
        vessels=_toml(answers.vessels),
        fan=_toml(answers.fan),
        freezer_litres=_toml(answers.freezer_loaves * LOAF_LITRES + ROLLS_LITRES),
        freezer_why=f"{answers.freezer_loaves} bagged loaves of 3.5 litres, and a bag of rolls",
        loaves=_toml(answers.loaves_a_week),
        lunch=_toml(answers.lunch_slices),
    )


ADULT, SMALL = 18, 6
"""Ages from which somebody may be alone with the oven, and eats as much as the others."""


def _person(answers: Answers, name: str, bakes: bool, age: int = ADULT) -> str:
    """Return a person's settings. A child is in the house and eats; its hands are nobody's to plan with."""
    adult = age >= ADULT
    return _filled(
        "person.toml",
        id=_toml(id_of(name)),
        name=_toml(name),
        bakes=_toml(bakes),
        adult=_toml(adult),
        under_six="\nunder_six = true                  # eats half" if age < SMALL else "",
        finishes=_toml(adult),
        price="0.5" if bakes else "1.0",
        why="who likes to bake gives minutes at half their price" if bakes else "what a minute of these hands costs",
        inside=_toml(answers.in_weekdays),
        free=_toml(answers.free_weekdays if adult else []),
        free_weekends=_toml(["07:30-21:00"] if adult else []),
        quick=_toml(["06:45-07:15"] if adult else []),
        names=_toml([name]),
    )


def id_of(name: str) -> str:
    """Return a short name other settings can refer to."""
    return re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-")[:40] or "person"


def _calendar(name: str, path: str, role: str) -> str:
    return _filled("calendar.toml", name=_toml(name), path=_toml(path), role=_toml(role))


def _lot(answers: Answers, bread: str, pieces: int) -> str:
    units, day = pieces * UNITS[bread], answers.today.isoformat()
    lines = f'bread = "{bread}"\nform = "{FORMS[bread]}"\nunits = {units}\nbagged = {day}   # not known; write the day'
    return f"\n[[lots]]\n{lines}\n"


def _example(answers: Answers, path: str) -> str:
    """Return an example calendar with moments of the coming week in UTC, line ends as iCalendar wants them."""
    week = {(day := answers.today + timedelta(days=n)).weekday(): day for n in range(1, 8)}
    moments = {
        f"{name}_{clock}": _utc(datetime.combine(week[weekday], time(int(clock[:2]), int(clock[2:]))), answers.zone)
        for name, weekday, *clocks in (("tuesday", 1, "1830", "2030"), ("saturday", 5, "1900", "2200"),
                                       ("sunday", 6, "1100", "1300"))
        for clock in clocks
    }  # fmt: skip
    text = _filled(path, stamp=f"{answers.today:%Y%m%d}T000000Z", first=answers.bakers[0], **moments)
    return text.replace("\n", "\r\n")


def _utc(wall: datetime, zone: str) -> str:
    """Return a wall-clock moment as iCalendar writes it in UTC."""
    return f"{wall.replace(tzinfo=ZoneInfo(zone)).astimezone(UTC):%Y%m%dT%H%M%SZ}"


def _filled(template: str, /, **values: str) -> str:
    return Template((files(__name__) / template).read_text(encoding="utf-8")).substitute(values)


def _toml(value: str | bool | int | float | Sequence[object]) -> str:
    """Return a value as TOML writes it; for these kinds that is as JSON does."""
    return json.dumps(value, ensure_ascii=False)
