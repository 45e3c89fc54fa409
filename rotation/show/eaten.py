"""What is eaten, by weekday and bread, for the screen and as JSON, and the settings that follow from it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from calendars.text import clean
from rotation.eaten import Smooth
from rotation.eating import Eating
from rotation.household.reading import Home
from rotation.show.fit import fit
from rotation.words import count, date_words, listed

SCHEMA = "rotation/eaten/1"
"""Name and version of what `rotation eaten --json` prints."""

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def settings(eating: Eating) -> dict[tuple[str, str], str]:
    """Return the settings offered, by table and key."""
    days = ", ".join(f"{DAYS[day].lower()} = {more:g}" for day, more in sorted(eating.by_weekday.items()))
    breads = ", ".join(f"{bread} = {_share(each)}" for bread, each in sorted(eating.by_bread.items()))
    return {
        ("habits", "loaves_a_week"): f"{eating.loaves_a_week:.1f}",
        **({("habits", "by_weekday"): f"{{ {days} }}"} if days else {}),
        **({("habits", "by_bread"): f"{{ {breads} }}"} if breads else {}),
        ("reserve", "portions"): str(eating.reserve.portions),
    }


def _share(by_day: Mapping[int, float]) -> str:
    """Return a bread's part of what is eaten: one figure where it is the same every day."""
    if len(by_day) == 7 and len(set(by_day.values())) == 1:
        return f"{by_day[0]:g}"
    return "{ " + ", ".join(f"{DAYS[day].lower()} = {share:g}" for day, share in sorted(by_day.items())) + " }"


def _surely(eating: Eating, home: Home) -> Iterator[str]:
    """Yield "Country loaf 40 % every day", or on which days how much."""
    for bread, by_day in sorted(eating.by_bread.items()):
        name = clean(home.known[bread].name if bread in home.known else bread, 40)
        if len(by_day) == 7 and len(set(by_day.values())) == 1:
            yield f"{name} {100 * by_day[0]:.0f} %"
        else:
            yield f"{name} {listed(f'{DAYS[day]} {100 * share:.0f} %' for day, share in sorted(by_day.items()))}"


def lines(eating: Eating, home: Home, width: int) -> Iterator[str]:
    """Yield the slices a day with their likely range, beside what the household says, and what is offered."""
    found = eating.found
    said = f"Slices a day, {date_words(eating.first)} to {date_words(eating.last)}: {count(found.days, 'usual day')}"
    out = f", {count(found.out, 'day')} on which bread ran out" if found.out else ""
    yield from fit(f"{said}; {count(found.left_out, 'day')} with guests or somebody away left out{out}.", 2, width)
    breads = sorted({bread for _, bread in found.by_bread})
    names = [clean(home.known[one].name if one in home.known else one, 20) for one in breads]
    columns = [max(len(name), 5) for name in names]
    heads = "  ".join(f"{name:>{size}}" for name, size in zip(names, columns, strict=True))
    yield f"      {'as you say':>10}  {'found':>5}  {'likely':>11}  {'days':>4}  {heads}".rstrip()
    for day, smooth in sorted(found.by_weekday.items()):
        parts = "  ".join(
            f"{found.by_bread[day, bread].level:>{size}.1f}" for bread, size in zip(breads, columns, strict=True)
        )
        own = f"{found.own[day]:.0f}"
        yield f"  {DAYS[day]} {own:>10}  {smooth.level:>5.1f}  {_range(smooth):>11}  {smooth.days:>4}  {parts}".rstrip()
    low, high = eating.likely
    now, offered = home.settings.habits.loaves_a_week, eating.loaves_a_week
    yield ""
    yield from fit(
        f"That is {offered:g} loaves a week beside lunch boxes, likely {low:.1f} to {high:.1f}; you say {now:g}.",
        2,
        width,
    )
    if eating.by_bread:
        parts = "; ".join(_surely(eating, home))
        yield from fit(
            f"Beside lunch boxes surely, nine times in ten: {parts}. Taken over, so much is planned of that bread and "
            "of no other, the rest of any.", 2, width,
        )  # fmt: skip
    yield from fit(reason(eating, home), 2, width)
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


def _range(smooth: Smooth) -> str:
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
        "by_weekday": {DAYS[day].lower(): more for day, more in sorted(eating.by_weekday.items())},
        "by_bread": {
            bread: {DAYS[day].lower(): share for day, share in sorted(each.items())}
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
