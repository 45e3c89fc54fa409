"""What a person may ask about, by the words they would use: a step, a meal, a bag, a loaf bought, a wish, a day."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches

from calendars.text import clean
from rotation.errors import BadInput, Mistake
from rotation.naming import FINISH, THAW, WEEK, names_of
from rotation.plan import Plan
from rotation.problem import FEED, Meal, Problem
from rotation.telling import short, shown_end
from rotation.words import weekday

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
SHORT = ("short", "shortfall", "shortfalls", "what is short")
NONE = {
    "wish": "There are no wishes: nothing was moved or deleted in the calendar.",
    "bag": "The freezer was empty when it was planned.",
    "buy": "The plan buys nothing.",
}
"""What to say where there is nothing of a kind."""


@dataclass(frozen=True)
class Item:
    """Something to ask about. kind: "bake", "thaw", "finish", "meal", "bag", "bought", "wish", "feed" or "day".

    name: what a person calls it; thing: id of the bake, take-out, meal, lot, bought loaf, wish, or feed beside any
    bake; step: of a bake; day: local day that nothing is baked on; besides: names of what was meant as well.
    """

    kind: str
    name: str
    thing: str
    step: str = ""
    day: int = -1
    besides: tuple[str, ...] = ()


def items(problem: Problem, plan: Plan) -> dict[str, Item]:
    """Return all that can be asked about by one name alone."""
    finishes = {finish.id: finish.take_out for finish in plan.finishes}
    beside = {feeding.id for feeding in plan.feedings}
    found: dict[str, Item] = {}
    for (id_, step), name in names_of(problem, plan).items():
        if id_ in finishes:
            found[name] = Item(FINISH, name, finishes[id_])
        elif id_ in beside:
            found[name] = Item(FEED, name, id_)
        else:
            found[name] = Item(THAW, name, id_) if step == THAW else Item("bake", name, id_, step)
    for lot in problem.lots:
        name = f"bag {lot.letter or lot.id}".casefold()
        found[name] = Item("bag", name, lot.id)
    for bought in plan.bought:
        name = f"buy-{_day_name(problem, bought.buy_by)}"
        found[name] = Item("bought", name, bought.id)
    for number, wish in enumerate(problem.wishes, 1):
        found[f"wish {number}"] = Item("wish", f"wish {number}", wish.id)
    return found


def find(problem: Problem, plan: Plan, said: str, not_on: str | None = None) -> Item:
    """Return what a person means. not_on: a weekday they ask "why not" of, beside a bake's step or alone.

    Raises BadInput, with what is nearest to what was said.
    """
    words = " ".join(said.casefold().replace("?", " ").split())
    if words.startswith("why "):
        words = words.removeprefix("why ")
    if not_on is None and words.startswith("not "):
        words, not_on = "", words.removeprefix("not ")
    if not_on is not None:
        day = day_of(problem, not_on)
        of = _step(problem, plan, words) if words else None
        return Item("day", not_on, of.thing if of else "", day=day)
    known = items(problem, plan)
    if not words:
        raise _unknown("nothing was asked about.", _near(problem, plan, words, known))
    if words in known:
        return known[words]
    if words in SHORT:
        return _short(problem, plan)
    steps = _steps(known, words)
    if len({item.thing for item in steps}) == 1:
        return steps[0]
    if steps:
        names = " or ".join(_quoted(item.name) for item in steps[:6])
        raise _unknown(f'"{clean(said, 60)}" may be several things.', f"Do you mean {names}?")
    meals = _meals(problem, words)
    if len(meals) == 1:
        return Item("meal", meal_name(problem, meals[0]), meals[0].id)
    if meals:
        names = ", ".join(f'"{meal_name(problem, meal)}"' for meal in meals[:6])
        raise _unknown(f'"{clean(said, 60)}" may be several meals.', f"Write one of: {names}.")
    raise _unknown(f'there is nothing called "{clean(said, 60)}" in the plan.', _near(problem, plan, words, known))


def _short(problem: Problem, plan: Plan) -> Item:
    """Return the meal that is short: guests first, then the one that lacks most; beside it the others that are."""
    some = [meal for meal in problem.meals if meal.at < shown_end(problem) and short(problem, plan, meal) > 0]
    if not some:
        raise _unknown("no meal is short in this plan.", "Ask about a step, a meal or a bag.")
    worst = min(some, key=lambda meal: (not meal.strict, -short(problem, plan, meal), meal.at))
    others = tuple(meal_name(problem, meal) for meal in some if meal is not worst)
    return Item("meal", meal_name(problem, worst), worst.id, besides=others)


def _steps(known: dict[str, Item], words: str) -> list[Item]:
    """Return the steps that all words fit, in any order: "mix sat", "saturday country"; in time order."""
    wanted = [
        word[:3] if word[:3] in DAYS and word.endswith("day") else word for word in re.findall(r"[a-z0-9]+", words)
    ]
    named = ((item, name.split("-")) for name, item in known.items() if "-" in name and item.kind != "bought")
    return [item for item, parts in named if wanted and all(word in parts for word in wanted)]


def _step(problem: Problem, plan: Plan, words: str) -> Item:
    known = items(problem, plan)
    item = known.get(words)
    if item is None or item.kind != "bake":
        bakes = {name: one for name, one in known.items() if one.kind == "bake"}
        raise _unknown(f'"{clean(words, 60)}" is no step of a bake.', _near(problem, plan, words, bakes))
    return item


def day_of(problem: Problem, said: str) -> int:
    """Return the day from the start of the plan on that a weekday, or a weekday and a date, means."""
    match = re.fullmatch(r"(?:on )?([a-z]{3})[a-z]* ?(\d{1,2})?(?: [a-z]+)?", " ".join(said.casefold().split()))
    if match is None or match[1] not in DAYS:
        raise _unknown(f'"{clean(said, 40)}" is no weekday.', 'Write "tuesday", or "tue 16".')
    for day in range(problem.shown_days):
        at = problem.date_of(day)
        if DAYS[at.weekday()] == match[1] and (match[2] is None or at.day == int(match[2])):
            return day
    raise _unknown(f'"{clean(said, 40)}" is not among the days of the plan.', "Ask for one of the days shown.")


def meal_name(problem: Problem, meal: Meal) -> str:
    """Return "supper tue", with its date from the eighth day on."""
    return f"{clean(meal.summary, 60)} {_day_name(problem, meal.at)}".casefold()


def _day_name(problem: Problem, minute: int) -> str:
    at = problem.instant(minute)
    near = 0 <= at.date().toordinal() - problem.date_of(0).toordinal() < WEEK
    return f"{DAYS[at.weekday()]}{'' if near else f' {at.day}'}"


def _meals(problem: Problem, words: str) -> list[Meal]:
    """Return the meals that all words fit; where only their days differ, those of the first week before the others."""
    wanted = re.findall(r"\w+", words)
    wanted = [part for word in wanted for part in re.findall(r"[^\W\d]+|\d+", word)]
    some = [meal for meal in problem.meals if meal.at < shown_end(problem)]
    found = [meal for meal in some if wanted and all(_says(problem, meal, word) for word in wanted)]
    exact = [meal for meal in found if meal_name(problem, meal) == words]
    near = [meal for meal in found if problem.day_of(meal.at) < WEEK]
    return exact or (near if len(near) == 1 else found)


def _says(problem: Problem, meal: Meal, word: str) -> bool:
    at = problem.instant(meal.at)
    named = re.findall(r"\w+", clean(meal.summary, 60).casefold())
    day = weekday(at).casefold()
    return any(part.startswith(word) for part in named) or word in (day, day[:3], str(at.day), f"{at:%b}".casefold())


def _near(problem: Problem, plan: Plan, words: str, known: dict[str, Item]) -> str:
    """Return which names are nearest to what was said."""
    meals = [meal_name(problem, meal) for meal in problem.meals if meal.at < shown_end(problem)]
    kind = words.split(maxsplit=1)[0].split("-")[0] if words else ""
    if kind in NONE and not any(name.split()[0].split("-")[0] == kind for name in known):
        return NONE[kind]
    near = get_close_matches(words, [*known, *dict.fromkeys(meals)], 4, 0.5)
    if near:
        return f"Do you mean {' or '.join(_quoted(name) for name in near)}?"
    some = list(_examples(problem, plan, known))
    return f"Ask as: {', '.join(_quoted(name) for name in some)}." if some else "Make a plan first: rotation plan"


def _examples(problem: Problem, plan: Plan, known: dict[str, Item]) -> Iterator[str]:
    """Yield a name of each kind."""
    seen = set[str]()
    for name, item in known.items():
        if item.kind not in seen:
            seen.add(item.kind)
            yield name
    for meal in problem.meals:
        if meal.at < shown_end(problem) and short(problem, plan, meal) > 0:
            yield meal_name(problem, meal)
            break
    yield "not tuesday"


def _quoted(name: str) -> str:
    return f'"{name}"'


def _unknown(wrong: str, instead: str) -> BadInput:
    return BadInput(Mistake("why", None, "", wrong, instead))
