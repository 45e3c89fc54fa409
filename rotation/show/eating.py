"""Who eats what when, as lines in family words."""

from __future__ import annotations

from collections.abc import Iterator

from calendars.text import clean
from rotation.plan import Plan
from rotation.problem import BOUGHT, TOAST, Meal, Problem
from rotation.show.line import Line
from rotation.telling import short, shown_end, sources
from rotation.words import bag, clock, contents, count, listed, pieces_of, units

SMALL = 3
"""Portions up to which a piece is counted whole, as rolls are; of larger ones, slices are."""


class Eating:
    """The meals of the shown days of one plan, which is given as `telling.shown` returns it."""

    def __init__(self, problem: Problem, plan: Plan) -> None:
        self._problem, self._plan = problem, plan
        self._sources = {source.id: source for source in sources(problem, plan)}
        self._outs = {out.id: out for out in plan.take_outs}

    def lines(self) -> Iterator[Line]:
        """Yield a line for each meal with guests, from the freezer, or short; a day's others share one."""
        plain: dict[int, list[tuple[Meal, str]]] = {}
        served: dict[str, list[tuple[str, int]]] = {}
        for serving in self._plan.servings:
            served.setdefault(serving.meal, []).append((serving.source, serving.portions))
        for meal in (meal for meal in self._problem.meals if meal.at < shown_end(self._problem)):
            eaten = served.get(meal.id, [])
            frozen = any(self._sources[source].kind == TOAST for source, _ in eaten)
            missing = short(self._problem, self._plan, meal)
            what = self._what(eaten)
            if meal.id in served and not (meal.strict or frozen or missing):
                plain.setdefault(self._problem.day_of(meal.at), []).append((meal, what))
            else:
                lack = f"{'; ' if what else ''}SHORT BY {missing}" if missing else ""
                heads = f" ({meal.heads})" if meal.strict else ""
                holds = self._holds(meal, [source for source, _ in eaten]) if meal.strict else ""
                said = f"{clean(meal.summary, 60)}{heads}: {what}{lack}.{holds}"
                yield Line(meal.at, self._clock(meal), "", said, kind="eat")
        for day, meals in plain.items():
            said = "; ".join(
                f"{clean(meal.summary, 40)} {clock(self._problem.instant(meal.at))}, {what}" for meal, what in meals
            )
            yield Line(self._problem.midnights[day + 1] - 1, "", "", f"Bread box: {said}.", kind="eat")

    def said(self, meal: Meal) -> str:
        """Return what a meal gets, "" if nothing: "6 slices of tin loaf, bag A, straight from the freezer"."""
        return self._what([(one.source, one.portions) for one in self._plan.servings if one.meal == meal.id])

    def holds(self, meal: Meal) -> str:
        """Return what is in the bread that guests get, and what is not; "" for others."""
        sources = [one.source for one in self._plan.servings if one.meal == meal.id]
        return self._holds(meal, sources).strip() if meal.strict else ""

    def _what(self, eaten: list[tuple[str, int]]) -> str:
        frozen = any(self._sources[source].kind == TOAST for source, _ in eaten)
        return listed(self._portion(source, portions, frozen) for source, portions in self._alike(eaten))

    def _clock(self, meal: Meal) -> str:
        return clock(self._problem.instant(meal.at))

    def _alike(self, eaten: list[tuple[str, int]]) -> list[tuple[str, int]]:
        """Return what is eaten with ready bread of one kind as one; slices from the freezer stay by their bags."""
        sums: dict[tuple[str, str], tuple[str, int]] = {}
        for id_, portions in eaten:
            source = self._sources[id_]
            key = (id_, "") if source.kind == TOAST else (source.bread, source.kind)
            first, before = sums.get(key, (id_, 0))
            sums[key] = (first, before + portions)
        return list(sums.values())

    def _holds(self, meal: Meal, eaten: list[str]) -> str:
        """Return what is in the bread guests get, and what is not."""
        breads = [self._problem.bread(self._sources[source].bread) for source in eaten if self._sources[source].bread]
        known = contents(allergen for bread in breads for allergen in bread.allergens)
        without = contents(meal.without).capitalize()
        contains = f" Contains {known}." if known else ""
        return contains + (f" {without}: not in the recipe, same kitchen." if without and breads else "")

    def _portion(self, source_id: str, portions: int, beside_frozen: bool) -> str:
        """Return "6 slices of tin loaf, bag A"; beside bread from the freezer, what is not is "from the bread box"."""
        source = self._sources[source_id]
        if source.kind == BOUGHT:
            return f"{count(portions, 'slice')} of the bought loaf"
        bread = self._problem.bread(source.bread)
        if source.kind == TOAST:
            out = self._outs[source_id]
            bags = listed(bag(self._problem, self._plan, lot) for lot, _ in out.lots)
            return f"{units(bread, bread.form(out.form), out.units)}, {bags}, straight from the freezer"
        pieces, rest = divmod(portions, bread.portions)
        whole = bread.portions <= SMALL and not rest
        what = pieces_of(bread, pieces) if whole else f"{count(portions, 'slice')} of {clean(bread.name, 40)}"
        return f"{what} from the bread box" if beside_frozen else what
