"""A picture of a rehearsal as SVG: hours of hands against slices unmet, one point for each policy."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from html import escape
from math import ceil, floor, log10

WIDTH, HEIGHT, LEFT, RIGHT, TOP, BOTTOM = 640, 400, 70, 170, 40, 60
ASIDE, BASE, LINE, LETTER = 11, 4, 15, 8
"""Of labels: how far beside their point and under its middle they stand, and the room a line and a letter take."""

JOINED = "dashed: nobody is better in both"


@dataclass(frozen=True)
class Point:
    """One policy, by two figures. ours: it is drawn so that it is seen first."""

    name: str
    across: float
    up: float
    ours: bool = False


def frontier(points: Sequence[Point]) -> tuple[Point, ...]:
    """Return the points that no other beats in both figures, less being better, from left to right."""
    return tuple(
        sorted(
            (
                one
                for one in points
                if not any(
                    other.across <= one.across
                    and other.up <= one.up
                    and (other.across < one.across or other.up < one.up)
                    for other in points
                )
            ),
            key=lambda point: (point.across, point.up, point.name),
        )
    )


def picture(points: Sequence[Point], title: str, across: str, up: str) -> str:
    """Return an SVG of points whose figures are better the less they are; those nobody beats are joined."""
    scale_across = scale(max((point.across for point in points), default=1))
    scale_up = scale(max((point.up for point in points), default=1))
    most_across, most_up = scale_across[-1], scale_up[-1]

    def at(point: Point) -> tuple[float, float]:
        x = LEFT + point.across / most_across * (WIDTH - LEFT - RIGHT)
        y = HEIGHT - BOTTOM - point.up / most_up * (HEIGHT - TOP - BOTTOM)
        return round(x, 1), round(y, 1)

    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" '
        f'aria-label="{escape(title, quote=True)}" font-family="sans-serif" font-size="13">',
        f"<title>{escape(title)}</title>",
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="white"/>',
        f'<text x="{LEFT}" y="22" font-size="15">{escape(title)}</text>',
        f'<path d="M{LEFT} {TOP}V{HEIGHT - BOTTOM}H{WIDTH - RIGHT}" fill="none" stroke="#555"/>',
        f'<text x="{LEFT}" y="{HEIGHT - 12}">{escape(across)} (less is better)</text>',
        f'<text transform="translate(16 {HEIGHT - BOTTOM}) rotate(-90)">{escape(up)} (less is better)</text>',
    ]
    for mark in scale_across:
        x, _ = at(Point("", mark, 0))
        parts.append(f'<text x="{x}" y="{HEIGHT - BOTTOM + 18}" text-anchor="middle">{mark:g}</text>')
    for mark in scale_up:
        _, y = at(Point("", 0, mark))
        parts.append(f'<text x="{LEFT - 8}" y="{y + 4}" text-anchor="end">{mark:g}</text>')
    best = frontier(points)
    if len(best) > 1:
        line = " ".join(f"{x},{y}" for x, y in map(at, best))
        parts.append(f'<polyline points="{line}" fill="none" stroke="#888" stroke-dasharray="4 4"/>')
        parts.append(f'<text x="{WIDTH - 16}" y="{HEIGHT - 12}" text-anchor="end" fill="#555">{JOINED}</text>')
    for point, y_label in _labels(points, at):
        x, y = at(point)
        if abs(y_label - y) > LINE:
            parts.append(f'<path d="M{x} {y}L{x + ASIDE - 2} {y_label}" fill="none" stroke="#888"/>')
        radius, fill, weight = (7, "#a4501c", ' font-weight="bold"') if point.ours else (5, "#244", "")
        parts.append(f'<circle cx="{x}" cy="{y}" r="{radius}" fill="{fill}"/>')
        parts.append(f'<text x="{x + ASIDE}" y="{y_label + BASE}"{weight}>{escape(point.name)}</text>')
    return "\n".join((*parts, "</svg>")) + "\n"


def _labels(points: Iterable[Point], at: Callable[[Point], tuple[float, float]]) -> Iterator[tuple[Point, float]]:
    """Yield points with the height of their label, so that it lies over no other label, point or axis."""
    ordered = sorted(
        points, key=lambda each: (-at(each)[1], -at(each)[0], each.name)
    )  # so that no lead crosses a label
    taken = [(*at(point), 0.0) for point in ordered]  # from where, at which height, how wide
    for point in ordered:
        x, y = at(point)
        low = y > HEIGHT / 2
        away = -1 if low else 1  # from the axis, or from the title
        if low:
            y = min(y, HEIGHT - BOTTOM - LINE)
        left, width = x + ASIDE, len(point.name) * LETTER
        while any(
            abs(y - other) < LINE and left < start + wide + ASIDE and start < left + width
            for start, other, wide in taken
        ):
            y += away
        taken.append((left, y, width))
        yield point, round(y, 1)


def scale(most: float) -> tuple[float, ...]:
    """Return the marks of an axis from 0 to the greatest or above: at most six, 1, 2 or 5 of a power of ten apart."""
    if most <= 0:
        return 0.0, 1.0
    power = 10.0 ** floor(log10(most / 5))
    step = next(step for step in (power, 2 * power, 5 * power, 10 * power) if most <= 5 * step * (1 + 1e-9))
    return tuple(round(number * step, 9) for number in range(ceil(most / step - 1e-9) + 1))
