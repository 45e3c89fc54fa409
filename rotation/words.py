"""The words a family reads: times, days, bags, loaves and temperatures, the same in print, entries and notes."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime

from calendars.text import clean
from rotation.plan import Feeding, Plan, Stay
from rotation.problem import Bread, Form, Meal, Oven, Problem
from rotation.units import Display, time_of_day

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
FORM_WORDS = {"part-baked": "part-baked", "baked": "baked whole", "sliced": "sliced"}
"""Forms that bread is frozen in, as a family reads them."""

_PIECES = (
    ("loaf", "loaves"),
    ("roll", "rolls"),
    ("bun", "buns"),
    ("tin", "tins"),
    ("stick", "sticks"),
    ("round", "rounds"),
    ("flatbread", "flatbreads"),
)


def clock(at: datetime) -> str:
    """Return "9:00", or "9:00 am" where the household reads clocks of twelve hours."""
    return time_of_day(at)


def weekday(at: date) -> str:
    """Return "Saturday"."""
    return WEEKDAYS[at.weekday()]


def date_words(at: date) -> str:
    """Return "13 Feb"."""
    return f"{at.day} {_MONTHS[at.month - 1][:3]}"


def heading(at: datetime) -> str:
    """Return "SATURDAY 6 MARCH"."""
    return f"{weekday(at)} {at.day} {_MONTHS[at.month - 1]}".upper()


def time_words(problem: Problem, minute: int, near: int) -> str:
    """Return the time of a minute, with its weekday if it is another local day than that of the minute `near`."""
    at = problem.instant(minute)
    if problem.day_of(minute) == problem.day_of(near):
        return clock(at)
    far = abs(problem.day_of(minute) - problem.day_of(near)) > 6
    return f"{weekday(at)[:3]} {date_words(at) + ' ' if far else ''}{clock(at)}"


def long_time(problem: Problem, minute: int) -> str:
    """Return "Sat 6 Mar 9:00"."""
    at = problem.instant(minute)
    return f"{weekday(at)[:3]} {date_words(at)} {clock(at)}"


def long(minutes: int) -> str:
    """Return "90 min" or "16 h 49"."""
    return f"{minutes} min" if minutes <= 90 else f"{minutes // 60} h {minutes % 60:02}"


def count(number: int, one: str, many: str = "") -> str:
    """Return "1 loaf" or "2 loaves"."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def listed(parts: Iterable[str]) -> str:
    """Return "a, b and c"."""
    *most, last = list(parts) or [""]
    return f"{', '.join(most)} and {last}" if most else last


def sliced(form: Form) -> bool:
    """Say whether a form is counted in slices."""
    return form.units_per_piece > 1


def pieces_of(bread: Bread, number: int) -> str:
    """Return "1 tin loaf", "2 tin loaves" or "2 sourdough"."""
    return named_pieces(bread.name, number)


def named_pieces(name: str, number: int) -> str:
    """Return the same of a bread's name, whose last word follows the number."""
    *before, last = clean(name, 40).split(" ")
    one, many = next((pair for pair in _PIECES if last.casefold() in pair), ("", ""))
    meant = (one if number == 1 else many) or last
    return " ".join((str(number), *before, meant.capitalize() if last[:1].isupper() else meant))


def units(bread: Bread, form: Form, number: int) -> str:
    """Return "2 sourdough" or "6 slices of tin loaf"."""
    return f"{count(number, 'slice')} of {clean(bread.name, 40)}" if sliced(form) else pieces_of(bread, number)


def contents(allergens: Iterable[str]) -> str:
    """Return "milk and wheat"; an ingredient nobody looked up is named last."""
    found = set(allergens)
    unknown = ["an ingredient nobody has looked up"] if "?" in found else []
    return listed([*sorted(clean(allergen, 40) for allergen in found - {"?"}), *unknown]) if found else ""


def oven_at(degc: int, oven: Oven) -> str:
    """Return "220 (fan 200)", "220" of an oven without a fan, or "425 degF (fan 400)" where that is read."""
    display = Display(temperature="degF" if oven.marked_degf else "degC")
    unit = " degF" if oven.marked_degf else ""
    fan = f" (fan {display.oven(degc - oven.fan_lower_degc)})" if oven.fan_lower_degc else ""
    return f"{display.oven(degc)}{unit}{fan}"


def event_words(event: str, oven: Oven) -> str:
    """Return what is done at the oven as people say it: "lid off + set 220 (fan 200)" of "lid off + set 220"."""
    parts = (part.removeprefix("set ") for part in event.split(" + "))
    return " + ".join(f"set {oven_at(int(part), oven)}" if part.isdigit() else part for part in parts)


def name_of(problem: Problem, who: str | None) -> str:
    """Return the name of a person, "" for nobody."""
    return "" if who is None else clean(problem.person(who).name, 40)


def bag(problem: Problem, plan: Plan, lot: str) -> str:
    """Return "bag B" for a bag that is in the freezer, "the bag of Sun 7 Mar" for one that is still to be baked."""
    letters = {opening.id: opening.letter for opening in problem.lots}
    if lot in letters:
        return f"bag {letters[lot]}" if letters[lot] else f"bag {lot}"
    bagged = next(bake.put_in for bake in plan.bakes if bake.put_in is not None and lot in dict(bake.lots).values())
    at = problem.instant(bagged)
    return f"the bag of {weekday(at)[:3]} {date_words(at)}"


def feed_words(problem: Problem, feeding: Feeding, grams: str) -> str:
    """Return what to do at a feed of the starter beside any bake. grams: what goes in, or ""."""
    what = f": {grams}." if grams else "."
    if feeding.ahead is None:
        return f"FEED STARTER{what} Back into the fridge once it has risen."
    return f"FEED STARTER, the first of two{what} Feed again {time_words(problem, feeding.ahead, feeding.start)}."


def meal_words(problem: Problem, meal: Meal, near: int) -> str:
    """Return the meal's title with its time: "Breakfast (Sat 8:30)"."""
    return f"{clean(meal.summary, 60)} ({time_words(problem, meal.at, near)})"


def pots(stay: Stay) -> str:
    """Return "pot" or "pots", as many as the loads that go in together want; "" for none."""
    if not stay.vessel:
        return ""
    return "pot" if sum(load.start == stay.start for load in stay.loads) == 1 else "pots"
