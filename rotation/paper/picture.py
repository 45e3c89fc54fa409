"""A week in strips, as a picture: hands, ovens, the fridge and the freezer over time. Inline SVG, no script."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from markupsafe import Markup

from rotation.paper.rendering import isolated
from rotation.units import longest_time
from rotation.words import weekday

Json = dict[str, Any]

WIDE, HEAD, ROW, GAP, NAMES = 1000.0, 42.0, 26.0, 8.0, 92.0
"""Of the picture, in its own units: its width, the days above, a strip, what is between two, the names on the left."""

LEAST = 3.0
"""The narrowest mark, so that two minutes are seen."""

HOURS = (6, 12, 18)
"""Hours of each day at which a line is drawn."""


@dataclass(frozen=True)
class _Scale:
    days: tuple[date, ...]
    zone: ZoneInfo

    @property
    def day(self) -> float:
        return (WIDE - NAMES) / len(self.days)

    def x(self, at: datetime) -> float:
        """Return where an instant is: each local day is as wide as any other, whatever its clocks do."""
        local = at.astimezone(self.zone)
        number = (local.date() - self.days[0]).days
        share = (local.hour * 60 + local.minute) / 1440
        return NAMES + self.day * min(max(number + share, 0), len(self.days))

    def span(self, start: str, end: str) -> tuple[float, float] | None:
        """Return left edge and width of a span, None where it is outside the days."""
        left, right = self.x(datetime.fromisoformat(start)), self.x(datetime.fromisoformat(end))
        first, last = self.starts(), self.starts() + timedelta(days=len(self.days) + 1)
        if datetime.fromisoformat(end) <= first or datetime.fromisoformat(start) >= last or left >= WIDE:
            return None
        wide = max(right - left, LEAST)
        return min(left, WIDE - wide), wide

    def starts(self) -> datetime:
        return datetime.combine(self.days[0], time(), self.zone)


def picture(strips: Json, days: tuple[date, ...], zone: ZoneInfo) -> Markup:
    """Return the picture of some days. strips: as the plan has them (rotation/show/strips.py)."""
    scale = _Scale(days, zone)
    rows = [
        *((isolated(one["name"]), Markup("").join(_hands(one, scale))) for one in strips["people"]),
        *((isolated(one["name"]), Markup("").join(_oven(one, scale))) for one in strips["ovens"]),
        (Markup("Fridge"), Markup("").join(_level(strips["fridge"], scale, "fridge"))),
        (Markup("Freezer"), Markup("").join(_level(strips["freezer"], scale, "freezer"))),
    ]
    height = HEAD + len(rows) * (ROW + GAP)
    drawn = [_days(scale, height)]
    for number, (name, marks) in enumerate(rows):
        top = HEAD + number * (ROW + GAP)
        drawn.append(
            Markup('<g transform="translate(0 {:g})"><rect class="bed" x="{:g}" width="{:g}" height="{:g}"/>{}').format(
                top, NAMES, WIDE - NAMES, ROW, marks
            )
            + Markup('<text class="name" x="0" y="{:g}">{}</text></g>').format(ROW * 0.7, _name(name))
        )
    opening = Markup(
        '<svg class="strips" viewBox="0 0 {:g} {:g}" role="img" aria-labelledby="strips-title strips-desc">'
        '<title id="strips-title">The week in strips</title><desc id="strips-desc">When hands, oven, fridge and '
        "freezer are used, day by day. The table beneath says the same in words.</desc>"
        '<defs><pattern id="warming" width="5" height="5" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(45)"><rect class="warming-bed" width="5" height="5"/>'
        '<rect class="warming" width="2.4" height="5"/></pattern></defs>'
    ).format(WIDE, height)
    return opening + Markup("").join(drawn) + Markup("</svg>")


def _name(name: Markup) -> Markup:
    """Return a name as it fits beside its strip; SVG has no element that isolates text, so its own property does."""
    plain = name.striptags()
    short = plain if len(plain) <= 10 else f"{plain[:9]}…"
    return Markup('<tspan style="unicode-bidi:isolate">{}</tspan>').format(short)


def _days(scale: _Scale, height: float) -> Markup:
    parts = []
    for number, day in enumerate(scale.days):
        left = NAMES + number * scale.day
        name = weekday(datetime.combine(day, time()))
        label = f"{name[:3]} {day.day}" if len(scale.days) > 3 else f"{name} {day.day}"
        parts.append(
            Markup('<text class="date-label" x="{:.1f}" y="20">{}</text>').format(left + 5, label)
            + Markup('<line class="midnight" x1="{0:.1f}" x2="{0:.1f}" y1="4" y2="{1:g}"/>').format(left, height)
        )
        for hour in HOURS:
            at = left + scale.day * hour / 24
            shown = hour if longest_time() == 5 else (hour - 1) % 12 + 1
            parts.append(
                Markup('<line class="hour" x1="{0:.1f}" x2="{0:.1f}" y1="38" y2="{1:g}"/>').format(at, height)
                + Markup('<text class="clock" x="{:.1f}" y="35">{}</text>').format(at, shown)
            )
    return Markup("").join(parts)


def _mark(kind: str, span: tuple[float, float] | None, top: float = 0.0, high: float = ROW) -> Markup:
    if span is None:
        return Markup("")
    return Markup('<rect class="{}" x="{:.1f}" y="{:g}" width="{:.1f}" height="{:.1f}"/>').format(
        kind, span[0], top, span[1], high
    )


def _hands(person: Json, scale: _Scale) -> Iterator[Markup]:
    for free in person["free"]:
        yield _mark("free", scale.span(free["start"], free["end"]), 3, ROW - 6)
    for job in person["jobs"]:
        yield _mark("job", scale.span(job["start"], job["end"]))


def _oven(oven: Json, scale: _Scale) -> Iterator[Markup]:
    for taken in oven["taken"]:
        yield _mark("taken", scale.span(taken["start"], taken["end"]), 4, ROW - 8)
    for on in oven["on"]:
        if on["heat_from"] < on["start"]:
            yield _mark("heating", scale.span(on["heat_from"], on["start"]))
        yield _mark("baking", scale.span(on["start"], on["end"]))


def _level(levels: list[Json], scale: _Scale, kind: str) -> Iterator[Markup]:
    """Yield how full something is, as an area over time, and each evening's share in words."""
    ends = [*(one["time"] for one in levels[1:]), None]
    last = scale.starts() + timedelta(days=len(scale.days))
    for one, end in zip(levels, ends, strict=True):
        until = last.isoformat() if end is None else end
        most = one["of"] or one["used"] or 1
        high = ROW * min(one["used"] / most, 1)
        span = scale.span(one["time"], until)
        if high and span is not None:
            yield _mark(kind, span, ROW - high, high)
            yield _mark("brim", span, ROW - high, 1.6)
    for number in range(len(scale.days)):
        words = _share(levels, scale.starts() + timedelta(days=number), kind)
        right = NAMES + (number + 1) * scale.day - 5
        if words:
            wide = 7.3 * len(words) + 6
            yield _mark("patch", (right - wide + 3, wide), 4, ROW - 8)
            yield Markup('<text class="level" x="{:.1f}" y="{:g}">{}</text>').format(right, ROW * 0.68, words)


def _share(levels: list[Json], midnight: datetime, kind: str) -> str:
    """Return how full the freezer is late in a day, or how many spots of the fridge are held at most, "" for none."""
    late = midnight + timedelta(hours=23)
    until = [one for one in levels if datetime.fromisoformat(one["time"]) <= late]
    if not until:
        return ""
    if kind == "freezer":
        used, of = until[-1]["used"], until[-1]["of"]
        return f"{-(-100 * used // of)} %" if of else "no room"
    today = [one for one in until if datetime.fromisoformat(one["time"]) > midnight]
    before = [one for one in until if datetime.fromisoformat(one["time"]) <= midnight]
    most = max((*today, *before[-1:]), key=lambda one: int(one["used"]))
    return f"{most['used']} of {most['of']}" if most["used"] else "" if most["of"] else "no room"
