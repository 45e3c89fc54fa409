"""What to say of a plan beside its days: which meals are short and what stood in the way, and what is worth knowing."""

from __future__ import annotations

from dataclasses import dataclass

from calendars.text import clean
from rotation.facts import Source
from rotation.keeping import overdue
from rotation.plan import Bake, Plan
from rotation.problem import Accept, Bread, Meal, Problem
from rotation.show.freezer import stock_at
from rotation.starter import unfed
from rotation.telling import short, shown, shown_end, sources
from rotation.words import bag, count, date_words, listed, long_time, weekday

UNKNOWN = "?"
"""The allergen of an ingredient nobody has looked up: it counts as every allergen."""

MANY_LOAVES = 3
"""From so many bought loaves on it is said why, if less is baked."""


@dataclass(frozen=True)
class Lack:
    """Portions a meal wants and does not get, and what stood in the way as far as the plan itself shows."""

    meal: Meal
    portions: int
    because: tuple[str, ...]


def shortfalls(problem: Problem, plan: Plan) -> tuple[Lack, ...]:
    """Return the meals of the shown days that are short, in time order."""
    found = []
    for meal in sorted(problem.meals, key=lambda meal: (meal.at, meal.id)):
        portions = short(problem, plan, meal)
        if portions > 0 and meal.at < shown_end(problem):
            found.append(Lack(meal, portions, _because(problem, plan, meal)))
    return tuple(found)


def _because(problem: Problem, plan: Plan, meal: Meal) -> tuple[str, ...]:
    every = sources(problem, plan)
    reasons = [_bread_reason(problem, plan, meal, accept, every) for accept in meal.accepts]
    nothing = [
        clean(problem.bread(a.bread).name, 40) for a, said in zip(meal.accepts, reasons, strict=True) if not said
    ]
    reasons += [f"no {' or '.join(nothing)} ready by then"] if nothing else []
    reasons += _kept_away(problem, meal)
    reasons.append(_shop_reason(problem, meal))
    return tuple(reason for reason in reasons if reason) or ("nothing that may be eaten there is ready by then",)


def _kept_away(problem: Problem, meal: Meal) -> list[str]:
    """Return which breads nobody may be served there, and for what is in them."""
    accepted = {accept.bread for accept in meal.accepts}
    others = [bread for bread in problem.breads if bread.id not in accepted and meal.without]
    return [reason for bread in others if (reason := _holds(bread, meal))]


def _holds(bread: Bread, meal: Meal) -> str:
    harm = sorted(map(clean, meal.without & bread.allergens))
    if harm:
        return f"{clean(bread.name, 40)} has {listed(harm)}"
    unknown = meal.without and UNKNOWN in bread.allergens
    return f"{clean(bread.name, 40)} has an ingredient nobody has looked up" if unknown else ""


def _bread_reason(problem: Problem, plan: Plan, meal: Meal, accept: Accept, every: tuple[Source, ...]) -> str:
    """Return why no more of one bread comes to a meal, from what is ready when; "": there is none."""
    bread = problem.bread(accept.bread)
    name = clean(bread.name, 40)
    if harm := _holds(bread, meal):
        return harm
    ready = [source for source in every if source.bread == bread.id and source.kind in accept.kinds]
    fit = [s for s in ready if s.ready <= meal.at <= s.until and meal.at - s.ready <= accept.max_age]
    eaten = {serving.source: serving.portions for serving in plan.servings if serving.meal == meal.id}
    if others := sum(source.portions - eaten.get(source.id, 0) for source in fit):
        return f"the other {name} ready by then ({count(others, 'portion')}) is spoken for"
    later = [source for source in ready if source.ready > meal.at]
    frozen = sum(units for item, units in stock_at(problem, plan, meal.at).items() if item.bread == bread.id)
    if later:
        said = f"the next {name} {'are' if name.endswith('s') else 'is'} ready {long_time(problem, later[0].ready)}"
    elif fit or frozen:
        said = f"no {'more ' if fit else ''}{name} ready by then"
    else:
        return ""
    return f"{said}, what is in the freezer ({frozen}) could not be or is kept for later" if frozen else said


def _shop_reason(problem: Problem, meal: Meal) -> str:
    """Return why the meal gets no more bought bread."""
    shop = problem.shop
    if meal.strict:
        return "guests get no bought bread"
    if not meal.bought:
        return "bought bread will not do"
    if meal.without and (UNKNOWN in shop.allergens or meal.without & shop.allergens):
        return f"bought bread may have {listed(sorted(map(clean, meal.without)))}"
    if not any(closes <= meal.at <= closes + shop.keeps for closes in shop.closes):
        return "no shop is open in time"
    return f"a bought loaf ({shop.loaf_milli // 1000} effort minutes) costs more than going without"


def notes(problem: Problem, plan: Plan) -> list[str]:
    """Return what is worth knowing of the shown days beyond what happens when. The plan is the whole one."""
    seen = shown(problem, plan)
    said = [_late(problem, bake, name) for bake in seen.bakes for name in bake.late]
    said += [_unfed(problem, since, at) for since, at in unfed(problem, plan)]
    return said + _bought(problem, seen) + _old_bags(problem, seen) + _gone(problem, seen)


def _late(problem: Problem, bake: Bake, name: str) -> str:
    step, bread = bake.step(name), problem.bread(bake.bread)
    when = long_time(problem, bake.stay.start if step is None else step.start)
    said = f"Late: {name} of the {clean(bread.name, 40)} is overdue. As soon as you can; planned for {when}."
    return f"{said} {overdue(name, bread.filled)}".rstrip()


def _unfed(problem: Problem, since: int, at: int) -> str:
    days = round((at - since) / 1440)
    return (
        f"Starter: unfed for {count(days, 'day')} by {long_time(problem, at)}, and nobody has hands for it before. "
        "Expect it slow. Fed it? rotation done starter"
    )


def _bought(problem: Problem, plan: Plan) -> list[str]:
    """Return why so much is bought, where more portions are than are baked: else it reads as a fault."""
    loaves = sum(bought.loaves for bought in plan.bought)
    baked = sum(pieces * problem.bread(bake.bread).portions for bake in plan.bakes for _, pieces in bake.pieces)
    if loaves < MANY_LOAVES or loaves * problem.shop.portions <= baked:
        return []
    price = problem.shop.loaf_milli / 1000
    return [
        f"{loaves} loaves to buy, more than is baked: with these hours, ovens and pots a loaf of your own takes more "
        f"than the {price:g} minutes that a bought one counts. Who would rather bake writes more for price_minutes "
        "under [shop] in household.toml."
    ]


def _old_bags(problem: Problem, plan: Plan) -> list[str]:
    """Return what is to be done with bags whose toast-after day ends in the shown days while something is in them."""
    said = []
    for item in stock_at(problem, plan, shown_end(problem)):
        label = bag(problem, plan, item.id)
        what = f"{label[0].upper()}{label[1:]} ({clean(problem.bread(item.bread).name, 40)})"
        if item.toast_after <= shown_end(problem):
            day = date_words(problem.instant(item.toast_after - 1))
            best = f"past its best since {day}" if item.toast_after <= 0 else f"past its best after {day}"
            said.append(f"{what} is {best}: for toast or crumbs.")
        elif item.eat_first <= 0:
            said.append(f"{what} is to be eaten first.")
    return said


def _gone(problem: Problem, plan: Plan) -> list[str]:
    """Return what goes stale uneaten in the shown days, two portions or more."""
    said = []
    for source in sources(problem, plan):
        left = source.portions - sum(s.portions for s in plan.servings if s.source == source.id)
        if source.bread and left > 1 and source.until < shown_end(problem):
            name, at = clean(problem.bread(source.bread).name, 40), problem.instant(source.until)
            said.append(f"{count(left, 'portion')} of {name} will be left on {weekday(at)}: toast or crumbs.")
    return said
