"""What is better: the cost of a plan term by term, in thousandths of an effort minute (`milli`)."""

from __future__ import annotations

from collections.abc import Callable

from rotation import facts
from rotation.plan import Plan
from rotation.problem import BOUGHT, TOAST, Problem, value_at

Score = Callable[[Problem, Plan], int]


def hands(problem: Problem, plan: Plan) -> int:
    """Minutes of hands, each job at the price of its person at its start."""
    return sum(
        job.minutes * value_at(problem.person(job.person).price, job.start)
        for job in facts.jobs(problem, plan)
        if job.person is not None
    )


def bakes(problem: Problem, plan: Plan) -> int:
    """The fixed cost of each bake on its day; bakes under way have been paid."""
    return sum(
        problem.bread(bake.bread).process(bake.process).mixed_on(bake.day)
        for bake in plan.bakes
        if bake.under_way is None
    )


def heat_ups(problem: Problem, plan: Plan) -> int:
    """Each cold oven heated up; not for what is in the oven when the plan begins."""
    cold = sum(1 for stay in facts.planned_stays(problem, plan) if stay.heat == "cold")
    return cold * problem.weights.heat_up


def unmet(problem: Problem, plan: Plan) -> int:
    """Portions that everyday meals want and nobody gives; strict ones come before all cost."""
    wanted = {meal.id: meal.portions for meal in problem.meals if not meal.strict}
    served = sum(serving.portions for serving in plan.servings if serving.meal in wanted)
    return (sum(wanted.values()) - served) * problem.weights.unmet_portion


def bought(problem: Problem, plan: Plan) -> int:
    """Loaves bought."""
    return sum(bought.loaves for bought in plan.bought) * problem.shop.loaf_milli


def frozen(problem: Problem, plan: Plan) -> int:
    """Portions in the freezer at each local midnight."""
    nights = (sum(_portions_frozen(problem, plan, midnight).values()) for midnight in problem.midnights[1:])
    return sum(nights) * problem.weights.portion_day_frozen


def age(problem: Problem, plan: Plan) -> int:
    """Quarters of a day from ready to eaten, of each portion served; none for toast and bought bread."""
    sources, meals = facts.sources(problem, plan), {meal.id: meal for meal in problem.meals}
    total = 0
    for serving in plan.servings:
        source, meal = sources[serving.source], meals[serving.meal]
        if source.kind not in (TOAST, BOUGHT):
            quarters = problem.quarter_of(meal.at) - problem.quarter_of(source.ready)
            total += serving.portions * quarters * meal.age_milli
    return total


def wasted(problem: Problem, plan: Plan) -> int:
    """Portions of bread at home whose keeping time ended within the horizon, and portions thrown away."""
    served: dict[str, int] = {}
    for serving in plan.servings:
        served[serving.source] = served.get(serving.source, 0) + serving.portions
    gone = sum(
        source.portions - served.get(source.id, 0)
        for source in facts.sources(problem, plan).values()
        if source.kind != BOUGHT and source.until <= problem.end
    )
    batches = facts.batches(problem, plan)
    thrown = sum(_portions(problem, batches[discard.lot], discard.units) for discard in plan.discards)
    return (gone + thrown) * problem.weights.wasted_portion


def past_date(problem: Problem, plan: Plan) -> int:
    """Units still in the freezer at the local midnight that ends their toast-after day."""
    moves, total = facts.moves(problem, plan), 0
    for batch in facts.batches(problem, plan).values():
        midnight = next((m for m in problem.midnights if m >= batch.past_toast), None)
        if midnight is not None and midnight > 0:
            total += facts.held(moves, midnight).get(batch.id, 0)
    return total * problem.weights.unit_past_date


def stock(problem: Problem, plan: Plan) -> int:
    """What is in the freezer at the end is worth, taken off the cost: the first portions more, the last nothing."""
    worth = 0
    for bread, portions in _portions_frozen(problem, plan, problem.end).items():
        left = portions
        for most, milli in problem.bread(bread).worth:
            worth += min(left, most) * milli
            left -= min(left, most)
    return -worth


def changes(problem: Problem, plan: Plan) -> int:
    """Bakes published and dropped, and new ones near at hand; none where nothing was published."""
    if problem.published is None:
        return 0
    kept = {(bake.bread, bake.process, bake.day) for bake in plan.bakes}
    dropped = sum(entry.price for entry in problem.published if (entry.bread, entry.process, entry.day) not in kept)
    known = {(entry.bread, entry.process, entry.day) for entry in problem.published}
    prices = dict(enumerate(problem.weights.changed_by_day))
    new = [bake for bake in plan.bakes if bake.under_way is None]
    return dropped + sum(prices.get(b.day, 0) for b in new if (b.bread, b.process, b.day) not in known)


def _portions(problem: Problem, batch: facts.Batch, units: int) -> int:
    """Return the portions in units of a lot."""
    return units * problem.bread(batch.bread).form(batch.form).portions_per_unit


def _portions_frozen(problem: Problem, plan: Plan, minute: int) -> dict[str, int]:
    """Return the portions of each bread in the freezer at a minute."""
    batches, total = facts.batches(problem, plan), {bread.id: 0 for bread in problem.breads}
    for lot, units in facts.held(facts.moves(problem, plan), minute).items():
        total[batches[lot].bread] += _portions(problem, batches[lot], units)
    return total


TERMS: tuple[tuple[str, Score], ...] = (
    ("hands", hands),
    ("bakes", bakes),
    ("heat_ups", heat_ups),
    ("unmet", unmet),
    ("bought", bought),
    ("frozen", frozen),
    ("age", age),
    ("wasted", wasted),
    ("past_date", past_date),
    ("stock", stock),
    ("changes", changes),
)
"""All terms by name, in the order they are shown."""


def scores(problem: Problem, plan: Plan) -> tuple[tuple[str, int], ...]:
    """Return each term's cost of a plan that holds (`rules.checked`); their sum is what the solver makes least."""
    return tuple((name, score(problem, plan)) for name, score in TERMS)
