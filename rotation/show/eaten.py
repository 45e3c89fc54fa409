"""What is eaten, by weekday and bread, for the screen and as JSON, and the settings that follow from it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from calendars.text import clean
from rotation.eaten import Smooth
from rotation.eating import Eating
from rotation.household.reading import Home
from rotation.household.values import DAYS
from rotation.show.fit import fit
from rotation.taking_over import settings
from rotation.words import count, date_words, listed

SCHEMA = "rotation/eaten/1"
"""Name and version of what `rotation eaten --json` prints."""


def heading(eating: Eating) -> str:
    """Return which days were looked at."""
    found = eating.found
    said = f"Slices a day, {date_words(eating.first)} to {date_words(eating.last)}: {count(found.days, 'usual day')}"
    out = f", {count(found.out, 'day')} on which bread ran out" if found.out else ""
    return f"{said}; {count(found.left_out, 'day')} with guests or somebody away left out{out}."


def breads(eating: Eating, home: Home) -> dict[str, str]:
    """Return the names of the breads that were eaten, by id."""
    ids = sorted({bread for _, bread in eating.found.by_bread})
    return {id_: clean(home.known[id_].name if id_ in home.known else id_, 20) for id_ in ids}


def a_week(eating: Eating, home: Home) -> str:
    """Return the loaves a week that follow from it."""
    low, high = eating.likely
    now, offered = home.settings.habits.loaves_a_week, eating.loaves_a_week
    return f"That is {offered:g} loaves a week beside lunch boxes, likely {low:.1f} to {high:.1f}; you say {now:g}."


def _parts(eating: Eating, home: Home) -> str:
    """Return which part is surely which bread, and what taking it over means."""
    parts = "; ".join(_surely(eating, home))
    said = f"Beside lunch boxes surely, nine times in ten: {parts}. Taken over, so much is planned of that bread and of"
    return f"{said} no other, the rest of any."


def _surely(eating: Eating, home: Home) -> Iterator[str]:
    """Yield "Country loaf 40 %" where it is so every day, else on which days how much."""
    for bread, by_day in sorted(eating.by_bread.items()):
        name = clean(home.known[bread].name if bread in home.known else bread, 40)
        parts = {day: f"{100 * share:.0f} %" for day, share in sorted(by_day.items())}
        alike = len(parts) == 7 and len(set(parts.values())) == 1
        yield f"{name} {parts[0] if alike else listed(f'{day_name(day)} {part}' for day, part in parts.items())}"


def lines(eating: Eating, home: Home, width: int) -> Iterator[str]:
    """Yield the slices a day with their likely range, beside what the household says, and what is offered."""
    found, names = eating.found, breads(eating, home)
    yield from fit(heading(eating), 2, width)
    columns = {bread: max(len(name), 5) for bread, name in names.items()}
    heads = "  ".join(f"{name:>{columns[bread]}}" for bread, name in names.items())
    yield f"      {'as you say':>10}  {'found':>5}  {'likely':>11}  {'days':>4}  {heads}".rstrip()
    for day, smooth in sorted(found.by_weekday.items()):
        parts = "  ".join(f"{found.by_bread[day, bread].level:>{size}.1f}" for bread, size in columns.items())
        own, seen = f"{found.own[day]:.0f}", f"{smooth.level:>5.1f}  {likely(smooth):>11}  {smooth.days:>4}"
        yield f"  {day_name(day)} {own:>10}  {seen}  {parts}".rstrip()
    yield ""
    sure = [_parts(eating, home)] if eating.by_bread else []
    for sentence in (a_week(eating, home), *sure, reason(eating, home)):
        yield from fit(sentence, 2, width)
    yield "Nothing is changed. To take it over, write into household.toml, or: rotation eaten --write"
    last = ""
    for (table, key), value in settings(eating).items():
        if table != last:
            yield f"    [{table}]"
        yield f"    {key} = {value}"
        last = table


def reason(eating: Eating, home: Home) -> str:
    """Return why so much is kept for bad days."""
    kept = eating.reserve
    loaves = count(kept.loaves, "loaf", "loaves")
    return (
        f"Reserve: {kept.exact:.1f} portions, in whole loaves {kept.portions} ({loaves}); you say "
        f"{home.settings.reserve.portions}. A day misses what is expected by {kept.sd:.1f} portions, up to "
        f"{kept.gap_days:g} days lie between two bakes, and with the prices of your weights it pays to be covered "
        f"{100 * kept.covered:.0f} times in 100."
    )


def day_name(day: int) -> str:
    """Return "Mon" for 0."""
    return DAYS[day].capitalize()


def offered(eating: Eating, home: Home) -> Iterator[tuple[str, str]]:
    """Yield each setting offered in words, with its value as people read it."""
    yield "Loaves a week", f"{eating.loaves_a_week:g}"
    if eating.by_weekday:
        days = listed(f"{day_name(day)} {100 * more:.0f} %" for day, more in sorted(eating.by_weekday.items()))
        yield "Of an ordinary day", days
    for one in _surely(eating, home) if eating.by_bread else ():
        yield "Surely, no other", one
    yield "Reserve", count(eating.reserve.portions, "portion")


def likely(smooth: Smooth) -> str:
    """Return between which figures a habit lies, four times in five."""
    low, high = smooth.range
    return f"{low:.0f} to {high:.0f}"


def eaten_json(eating: Eating, home: Home) -> dict[str, Any]:
    """Return the same as plain JSON values: portions a day, weekdays from 0 (Monday)."""
    found, kept = eating.found, eating.reserve

    def smooth(one: Smooth) -> dict[str, Any]:
        low, high = one.range
        return {"portions": round(one.level, 2), "low": round(low, 2), "high": round(high, 2), "days": one.days}

    return {
        "schema": SCHEMA,
        "household": clean(home.settings.name),
        "first": eating.first.isoformat(),
        "last": eating.last.isoformat(),
        "left_out": found.left_out,
        "ran_out": found.out,
        "weekdays": [
            {
                "weekday": day,
                "own": found.own[day],
                **smooth(one),
                "breads": {bread: smooth(each) for (of, bread), each in found.by_bread.items() if of == day},
            }
            for day, one in sorted(found.by_weekday.items())
        ],
        "loaves_a_week": {
            "own": home.settings.habits.loaves_a_week,
            "found": eating.loaves_a_week,
            "low": round(eating.likely[0], 2),
            "high": round(eating.likely[1], 2),
        },
        "by_weekday": {DAYS[day]: more for day, more in sorted(eating.by_weekday.items())},
        "by_bread": {
            bread: {DAYS[day]: share for day, share in sorted(each.items())}
            for bread, each in sorted(eating.by_bread.items())
        },
        "reserve": {
            "own": home.settings.reserve.portions,
            "portions": kept.portions,
            "loaves": kept.loaves,
            "error_a_day": round(kept.sd, 2),
            "gap_days": kept.gap_days,
            "covered": round(kept.covered, 4),
        },
    }
