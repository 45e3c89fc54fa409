"""Which of what is found of a household's eating is no chance, as settings for its standing habit."""

from __future__ import annotations

from collections.abc import Mapping
from math import hypot
from statistics import NormalDist

from rotation.eaten import LIKELY, Found
from rotation.household.meals import Habits
from rotation.household.reading import Home
from rotation.intake.habits import normal_week
from rotation.intake.notes import Notes

BY_CHANCE = NormalDist().inv_cdf(1 - (1 - 0.95 ** (1 / 7)) / 2)
"""Standard deviations that not one of seven days differs by, nineteen times in twenty, where all are as written."""

LEAST = 0.1
"""A bread's part of what is eaten below which it is worth no setting, and by which one that is written may be less."""

Shares = Mapping[str, Mapping[int, float]]
"""By bread, its part of what is eaten beside lunch boxes on each weekday: Monday is 0."""


def by_weekday(home: Home, seen: Found, lunches: Mapping[int, float]) -> dict[int, float]:
    """Return how much more or less than on others is eaten on each weekday by those in, where it is no chance."""
    found = seen.by_weekday
    if all(abs(found[day].level - seen.own[day]) <= BY_CHANCE * found[day].uncertain for day in found):
        return {}
    weights = dict.fromkeys(found, 0.0)
    for slot in normal_week(home.settings, Notes()):
        if slot.weekday in weights:
            weights[slot.weekday] += slot.eaten.share * slot.weight
    eaten = {day: max(smooth.level - lunches[day], 0.0) for day, smooth in found.items() if weights[day]}
    whole = sum(eaten.values()) / (sum(weights[day] for day in eaten) or 1.0)
    return {day: round(each / weights[day] / whole, 2) for day, each in eaten.items()} if whole else {}


def by_bread(home: Home, seen: Found, lunches: Mapping[int, float]) -> Shares:
    """Return the part of what is eaten that is surely one bread, where more than one is eaten and it is no chance.

    Surely: the lower end of what is likely, so that the rest is left to the plan. The same for all days where the days
    differ no more than by chance. lunches: portions of lunch boxes on each weekday. Empty where what is written is no
    more than is eaten, but for chance, and not much less than surely is.
    """
    breads, days = sorted({bread for _, bread in seen.by_bread}), sorted(seen.own)
    level = _beside_lunches(home.settings.habits, seen, lunches)
    whole = {day: sum(level[day, bread] for bread in breads) for day in days}
    week = sum(whole.values())
    uncertain = {key: smooth.uncertain for key, smooth in seen.by_bread.items()}
    if len(breads) < 2 or week <= 0:
        return {}
    surely: dict[str, dict[int, float]] = {}
    much = False
    for bread in (bread for bread in breads if bread in home.breads):
        eaten = sum(level[day, bread] for day in days)
        off = {day: abs(level[day, bread] - eaten / week * whole[day]) for day in days}
        if all(off[day] <= BY_CHANCE * uncertain[day, bread] for day in days):
            less = LIKELY * hypot(*(uncertain[day, bread] for day in days))
            shares = dict.fromkeys(days, _share(eaten - less, week))
        else:
            shares = {day: _share(level[day, bread] - LIKELY * uncertain[day, bread], whole[day]) for day in days}
        own = {day: home.settings.habits.part_of(bread, day) for day in days}
        most = {day: level[day, bread] + BY_CHANCE * uncertain[day, bread] for day in days}
        much = much or any(own[day] * whole[day] > most[day] or shares[day] >= own[day] + LEAST for day in days)
        surely[bread] = {day: share for day, share in shares.items() if share >= LEAST}
    return {bread: each for bread, each in surely.items() if each} if much else {}


def _share(part: float, whole: float) -> float:
    """Return a part of a whole in hundredths, cut off, so that all parts together are never more than all."""
    return int(100 * max(part, 0.0) / whole + 1e-9) / 100 if whole > 0 else 0.0


def _beside_lunches(habits: Habits, seen: Found, lunches: Mapping[int, float]) -> dict[tuple[int, str], float]:
    """Return the portions of each bread by weekday without the lunch boxes, which are filled with what will do."""
    left: dict[tuple[int, str], float] = {}
    for day in seen.own:
        eaten = {bread: smooth.level for (of, bread), smooth in seen.by_bread.items() if of == day}
        boxed = {
            bread: each for bread, each in eaten.items() if not habits.lunch_breads or bread in habits.lunch_breads
        }
        part = min(lunches[day] / sum(boxed.values()), 1.0) if sum(boxed.values()) > 0 else 0.0
        for bread, each in eaten.items():
            left[day, bread] = each * (1 - part) if bread in boxed else each
    return left
