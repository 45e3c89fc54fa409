"""A rehearsal on one page: figures side by side, what the plan does better or worse, and how sure that is."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from rotation.rehearsal.habits import FIXED, FORTNIGHT, SHORT, UP_TO
from rotation.rehearsal.picture import Point, picture
from rotation.rehearsal.policy import PLANNER
from rotation.rehearsal.report import Compared, Difference, Mark, Rehearsed, Report, marks
from rotation.show.fit import WIDTH, fit
from rotation.words import count, date_words, weekday

NAMES = {
    PLANNER: "the plan",
    FIXED: "fixed days",
    UP_TO: "when low",
    SHORT: "tomorrow short",
    FORTNIGHT: "fortnight",
}
"""What a family reads of each policy."""

ROWS = (
    ("short, of 100 slices", "unmet", ".1f"),
    ("  for guests, a week", "guests", ".1f"),
    ("loaves wasted a week", "wasted", ".2f"),
    ("hours of hands a week", "hands", ".1f"),
    ("  at bad hours", "bad_hands", ".1f"),
    ("bakes a week", "bakes", ".1f"),
    ("oven heated, a week", "heat_ups", ".1f"),
    ("kWh a week (assumed)", "kwh", ".1f"),
    ("age when eaten, days", "age", ".2f"),
    ("  within a day, %", "fresh", ".0f"),
    ("changes a week", "changes", ".1f"),
    ("effort minutes a week", "effort", ".0f"),
)
"""What is told of each policy: words, figure, digits."""

DIFFERENCES = (
    ("hands", "minutes", 1.0, "hands"),
    ("unmet", "slices", 1.0, "short"),
    ("wasted", "slices", 1.0, "wasted"),
    ("effort", "minutes", 1000.0, "effort"),
)
"""What is told of the plan against the best rule, a week: measure, unit, how many of the measure make one, words."""

MARKS = {
    "unmet": ("short, of 100 slices", ".1f"),
    "wasted": ("loaves wasted a week", ".2f"),
    "age": ("age when eaten, days", ".2f"),
    "hands": ("hours of hands a week", ".2f"),
    "changes": ("changes a week", ".1f"),
}
"""What is told of each mark: words, digits."""

FEW = 4
"""Weeks below which nothing is said of how sure a difference is."""

GAP = 2
"""Spaces between columns."""

SHORT_OF = "Short: slices that no bread of your own gave, whether a loaf was bought for them or not."
CHANGES = (
    "Changes: bakes added, dropped or moved within the seven days that were told. A rule decides a day or two ahead, "
    "so most of its bakes are changes."
)
LEFT_OUT = "What was left out: tastes, days off, and what a person sees at a glance. Prices are those of your settings."


def page(came: Rehearsed, said: str, width: int = WIDTH) -> Iterator[str]:
    """Yield the lines. said: the scenario in words."""
    for sentence in (_heading(came, said), *_known(came)):
        yield from fit(sentence, 0, width)
    yield ""
    yield from fit(_in_short(came.report), 0, width)
    yield ""
    yield from _table(came.report.rows)
    yield ""
    for meaning in (SHORT_OF, CHANGES):
        yield from fit(meaning, 2, width)
    for row in came.report.rows[1:]:
        yield from fit(f"{NAMES[row.name]}: {came.rules[row.name]}", 2, width)
    yield ""
    few = len(came.report.planner.weeks) < FEW
    sure = ", but so few weeks do not say how sure that is" if few else ""
    yield from fit(f"The plan against “{_best(came.report)}”, a week{sure}:", 2, width)
    for name, unit, per, words in DIFFERENCES:
        yield from fit(f"  {words}: {_difference(came.report.against_best(name), unit, per, few=few)}", 4, width)
    yield ""
    yield from fit("What the plan is to reach against it, set before anything was lived through:", 2, width)
    for mark in marks(came.report):
        yield from fit(f"  {mark_line(came.report, mark)}", 11, width)
    yield ""
    yield from fit(LEFT_OUT, 0, width)


def work(came: Rehearsed) -> str:
    """Return what it took."""
    return f"a plan took the planner {came.seconds:.1f} s of a processor on average, with all that was done by it"


def weeks(number: int, *, over: bool) -> str:
    """Return "2 weeks", and of those before now that they are over."""
    return count(number, "week") + (f" that {'is' if number == 1 else 'are'} over" if over else "")


def mark_line(of: Report, mark: Mark) -> str:
    """Return a mark, whether it is reached first."""
    words, digits = MARKS[mark.name]
    ours, theirs = (_shown(row, mark.name, digits) for row in (of.planner, of.best))
    said = f"{words}: {ours}, by the rule {theirs} (at most {mark.most:{digits}})"
    if mark.name == "changes":
        said = f"{words}: {ours} (under {mark.most:{digits}})"
    return f"{'reached' if mark.reached else 'missed':<7}  {said}"


def drawn(of: Report, said: str) -> str:
    """Return hours of hands against slices short as SVG. said: the scenario in words."""
    points = [Point(NAMES[row.name], row.figures.hands, row.figures.unmet, row.name == PLANNER) for row in of.rows]
    return picture(points, f"Hands and slices short: {said}", "hours of hands a week", "short, of 100 slices wanted")


def _heading(came: Rehearsed, said: str) -> str:
    """Return what was lived through: which weeks, how often."""
    runs = "" if came.times == 1 else f", {came.times} times"
    year = f" {came.first.year}" if came.first.year != came.last.year else ""
    days = f"{_day(came.first)}{year} to {_day(came.last)} {came.last.year}"
    return (
        f"Rehearsed: {said}. {weeks(came.weeks, over=came.over)}, {days}{runs}, after "
        f"{count(came.warm, 'week')} to warm up. The same chance for all."
    )


def _day(at: date) -> str:
    return f"{weekday(at)[:3]} {date_words(at)}"


def _known(came: Rehearsed) -> Iterator[str]:
    """Yield what of weeks that are over is as it was, and what is not."""
    if not came.over:
        return
    yield "Events and guests as your calendars have them; when guests were announced, and late dough, are by chance."
    if came.known:
        yield (
            f"What was really eaten is known of {came.known} of {came.days} days (warm-up too); else it is as usual, "
            "with chance. The freezer begins as it was then."
        )
    else:
        yield "The ledger does not know what was eaten then: it is as usual, with chance."


def _in_short(of: Report) -> str:
    """Return the result in three sentences."""
    ours, theirs = of.planner.figures, of.best.figures
    return (
        f"In short: by the plan bread takes {ours.hands:.1f} hours of hands a week, "
        f"{_less(ours.hands, theirs.hands)} by “{_best(of)}”, the best rule of thumb here. Slices short, of 100 "
        f"wanted: {_number(ours.unmet, '.1f')}, by the rule {_number(theirs.unmet, '.1f')}. Loaves wasted a week: "
        f"{_number(ours.wasted, '.2f')}, by the rule {_number(theirs.wasted, '.2f')}."
    )


def _less(ours: float, theirs: float) -> str:
    """Return "17 % less than"."""
    share = round(100 * (1 - ours / theirs)) if theirs else 0
    return f"{abs(share)} % {'less' if share > 0 else 'more'} than" if share else "as much as"


def _number(value: float, digits: str) -> str:
    said = f"{value:{digits}}"
    return said if float(said) else "none"


def _best(of: Report) -> str:
    return NAMES[of.best.name]


def _table(rows: tuple[Compared, ...]) -> Iterator[str]:
    """Yield the figures side by side: the plan, then the rules, the best first."""
    first = max(len(words) for words, _, _ in ROWS)
    heads = [NAMES[row.name] for row in rows]
    yield " " * first + "".join(f"{'':{GAP}}{head}" for head in heads)
    for words, name, digits in ROWS:
        cells = "".join(
            f"{_shown(row, name, digits):>{GAP + len(head)}}" for row, head in zip(rows, heads, strict=True)
        )
        yield f"{words:<{first}}{cells}"


def _shown(of: Compared, name: str, digits: str) -> str:
    if all_toast(of, name):
        return "toast"
    value = getattr(of.figures, name) * (100 if name == "fresh" else 1)
    return f"{value:{digits}}"


def all_toast(of: Compared, name: str) -> bool:
    """Return whether a figure is one of age, and all that was eaten was toast, whose age nobody minds."""
    return name in ("age", "fresh") and not any(week.eaten for week in of.weeks)


def _difference(of: Difference, unit: str, per: float, *, few: bool) -> str:
    mean, low, high = round(of.mean / per), of.low / per, of.high / per
    said = f"{abs(mean)} {unit} {'more' if mean > 0 else 'less'}" if mean else "the same"
    if few:
        return said
    chance = "; that may be chance" if low < 0 < high else ""
    return f"{said} (95 %: {low:+.0f} to {high:+.0f}{chance})"
