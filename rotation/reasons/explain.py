"""Why: the answer to a question about one thing of a plan, in parts, from the quickest to what takes longest."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace

from calendars.text import clean
from rotation.feedings import feedings
from rotation.plan import Bake, Feeding, Plan, TakeOut
from rotation.problem import FEED, FINISHED, Meal, Problem, Wish
from rotation.reasons.again import better
from rotation.reasons.answers import About, Fed, Feeds, Part, Raises
from rotation.reasons.choice import Question, all_rules, chosen, standing_against, without
from rotation.reasons.compare import Look, bread_words
from rotation.reasons.cures import cures
from rotation.reasons.held import baked_on, kept, not_at, not_bought, not_given
from rotation.reasons.items import Item
from rotation.reasons.slack import slack
from rotation.reasons.wish_cures import wish_cures
from rotation.solve import Limits, Shape
from rotation.telling import meals_from, short, sources
from rotation.words import bag, count, listed, long_time, pieces_of, weekday

AROUND = 720
"""A bake is forbidden with all that would be mixed so many minutes before or after it."""

OF_THAWS = ("hands", "watch", "closed", "oven", "places", "kitchen", "thawed", "keeping")
"""Rules that touch what is thawed or finished."""


class Explain:
    """Answers about one plan that holds. work: to look over all days too, None to look only at those near."""

    def __init__(self, problem: Problem, plan: Plan, work: Limits | None) -> None:
        self.problem, self.plan, self.work = problem, plan, work

    def about(self, item: Item) -> About:
        """Return what is asked about, in words."""
        return About(item.kind, item.name, self._words(item), item.besides)

    def parts(self, item: Item) -> Iterator[Part]:
        """Yield the answer."""
        answers = {
            "bake": self._bake, "thaw": self._out, "finish": self._out, "meal": self._meal, "bag": self._bag,
            "bought": self._bought, "wish": self._wish, "day": self._day, FEED: self._feed,
        }  # fmt: skip
        yield from answers[item.kind](item)

    # words --------------------------------------------------------------------------------------------------------

    def _words(self, item: Item) -> str:
        problem, plan = self.problem, self.plan
        if item.kind == "bake":
            bake = self._of(item.thing)
            step = bake.step(item.step)
            at = bake.stay.end if step is None else step.start
            return f"{item.step} {pieces_of(problem.bread(bake.bread), bake.total)}, {long_time(problem, at)}"
        if item.kind in ("thaw", "finish"):
            out = self._out_of(item.thing)
            finish = next((one for one in plan.finishes if one.take_out == out.id), None)
            at = out.at if finish is None or item.kind == "thaw" else finish.stay.start
            return f"{item.kind} {bread_words(problem, out.bread, out.form, out.units)}, {long_time(problem, at)}"
        if item.kind == "meal":
            meal = self._meal_of(item.thing)
            return f"{clean(meal.summary, 60)}, {long_time(problem, meal.at)}"
        if item.kind == "bag":
            lot = next(lot for lot in problem.lots if lot.id == item.thing)
            return f"{bag(problem, plan, lot.id)}: {bread_words(problem, lot.bread, lot.form, lot.units)}"
        if item.kind == "bought":
            bought = next(one for one in plan.bought if one.id == item.thing)
            return f"buy {count(bought.loaves, 'loaf', 'loaves')} by {long_time(problem, bought.buy_by)}"
        if item.kind == "wish":
            return self._wish_words(self._wish_of(item.thing))
        if item.kind == FEED:
            return f"feed the starter, {long_time(problem, self._feeding_of(item.thing).start)}"
        day = problem.instant(max(problem.midnights[item.day], 0))
        of = f"no {self._bread_name(item)}" if item.thing else "nothing"
        on = f"{weekday(day)} {day.day} {day:%b}"
        some = listed(pieces_of(problem.bread(bake.bread), bake.total) for bake in self._mixed(item))
        return f"not on {on}? It is: {some}, mixed that day" if some else f"{of} is mixed on {on}"

    def _wish_words(self, wish: Wish) -> str:
        name, at = clean(self.problem.bread(wish.bread).name, 40), long_time(self.problem, wish.at)
        asked = f"{wish.step} {name}, {at}" if wish.step else f"{wish.kind} of {name} from {at}"
        return f"your wish: {clean(wish.said) or asked}"

    def _bread_name(self, item: Item) -> str:
        return clean(self.problem.bread(self._of(item.thing).bread).name, 40)

    # things -------------------------------------------------------------------------------------------------------

    def _of(self, id_: str) -> Bake:
        return next(bake for bake in self.plan.bakes if bake.id == id_)

    def _out_of(self, id_: str) -> TakeOut:
        return next(out for out in self.plan.take_outs if out.id == id_)

    def _meal_of(self, id_: str) -> Meal:
        return next(meal for meal in self.problem.meals if meal.id == id_)

    def _wish_of(self, id_: str) -> Wish:
        return next(wish for wish in self.problem.wishes if wish.id == id_)

    def _feeding_of(self, id_: str) -> Feeding:
        return next(feeding for feeding in self.plan.feedings if feeding.id == id_)

    def _mixed(self, item: Item) -> list[Bake]:
        bread = self._of(item.thing).bread if item.thing else None
        return [bake for bake in self.plan.bakes if bake.day == item.day and bread in (None, bake.bread)]

    def _days(self, first: int, last: int) -> frozenset[int]:
        return frozenset(range(max(first, 0), min(last, self.problem.days - 1) + 1))

    # answers ------------------------------------------------------------------------------------------------------

    def _bake(self, item: Item) -> Iterator[Part]:
        bake = self._of(item.thing)
        yield self._feeds(bake)
        here = slack(self.problem, self.plan, bake, item.step)
        if here is not None:
            yield here
        mix = bake.step("mix")
        if bake.under_way is not None or mix is None or mix.who is None:
            return
        unwanted = Wish("asked", "no bake", bake.bread, mix.start - AROUND, mix.start + AROUND)
        days = self._days(bake.day - 1, bake.day + 2)
        other = replace(self.problem, wishes=(*self.problem.wishes, unwanted))
        yield from self._chosen(days, "without it", all_rules(), other=other, bread=bake.bread)

    def _feeds(self, bake: Bake) -> Feeds:
        """Return who eats of a bake, fresh or from its bags."""
        bread, lots = self.problem.bread(bake.bread), {lot for _, lot in bake.lots}
        outs = [out for out in self.plan.take_outs if lots & {lot for lot, _ in out.lots}]
        return self._eaten([bake.id, *(out.id for out in outs)], bake.total * bread.portions)

    def _eaten(self, ids: Iterable[str], made: int) -> Feeds:
        portions: dict[str, int] = {}
        for id_ in ids:
            for meal, number in meals_from(self.problem, self.plan, id_):
                portions[meal.id] = portions.get(meal.id, 0) + number
        meals = tuple((meal, portions[meal.id]) for meal in self.problem.meals if meal.id in portions)
        return Feeds(meals, max(made - sum(portions.values()), 0))

    def _feed(self, item: Item) -> Iterator[Part]:
        feeding, kept = self._feeding_of(item.thing), self.problem.starter
        raised = (bake for bake in self.plan.bakes if (step := bake.step(FEED)) and step.start == feeding.ahead)
        bake = next(raised, None)
        bread = None if bake is None else pieces_of(self.problem.bread(bake.bread), bake.total)
        before = [at for at, _ in feedings(self.problem, self.plan) if at < feeding.start]
        last = max(before, default=None if kept is None else kept.last)
        yield Raises(bread, feeding.ahead, last, 0 if kept is None else kept.every)

    def _out(self, item: Item) -> Iterator[Part]:
        out = self._out_of(item.thing)
        bread = self.problem.bread(out.bread)
        feeds = self._eaten([out.id], out.units * bread.form(out.form).portions_per_unit)
        yield feeds
        kind = "no finish" if bread.route(out.route).gives == FINISHED else "no thaw"
        if not feeds.meals:
            return
        first, last = feeds.meals[0][0].at, feeds.meals[-1][0].at
        unwanted = Wish("asked", kind, out.bread, first, last + 1)
        day = self.problem.day_of(out.at)
        other = replace(self.problem, wishes=(*self.problem.wishes, unwanted))
        days = self._days(day - 1, self.problem.day_of(first) + 1)
        words = f"without any {kind.removeprefix('no ')} for these meals"
        yield from self._chosen(days, words, OF_THAWS, other=other, bread=out.bread)

    def _meal(self, item: Item) -> Iterator[Part]:
        meal = self._meal_of(item.thing)
        lack = short(self.problem, self.plan, meal)
        yield Fed(tuple(self._sources(meal)), meal.portions, lack)
        day = self.problem.day_of(meal.at)
        if lack > 0:
            yield from cures(self.problem, self.plan, meal, self.work)
            return
        eaten = [serving for serving in self.plan.servings if serving.meal == meal.id]
        most = max(eaten, key=lambda serving: (serving.portions, serving.source), default=None)
        if most is None:
            return
        shape, words, bread = self._not_from(meal, most.source)
        yield from self._chosen(self._days(day - 2, day), words, all_rules(), shape=shape, bread=bread)

    def _sources(self, meal: Meal) -> Iterator[tuple[str, int]]:
        """Yield what a meal eats, in words, with portions."""
        kinds = {source.id: source for source in sources(self.problem, self.plan)}
        outs = {out.id: out for out in self.plan.take_outs}
        for serving in self.plan.servings:
            if serving.meal != meal.id:
                continue
            source = kinds[serving.source]
            bread = clean(self.problem.bread(source.bread).name, 40) if source.bread else "bought bread"
            lots = outs[source.id].lots if source.id in outs else ()
            of = f", {listed(bag(self.problem, self.plan, lot) for lot, _ in lots)}" if lots else ""
            yield f"{bread}, {source.kind}{of}" if source.bread else bread, serving.portions

    def _not_from(self, meal: Meal, source: str) -> tuple[Shape, str, str | None]:
        """Return the shape of plans in which a meal eats nothing that came the way of a source, words, the bread."""
        out = next((out for out in self.plan.take_outs if out.id == source), None)
        bake = next((bake for bake in self.plan.bakes if bake.id == source), None)
        if out is not None:
            name = clean(self.problem.bread(out.bread).name, 40)
            return not_at(meal.id, out.bread, out.route), f"without that {name} for it", out.bread
        if bake is not None:
            name = clean(self.problem.bread(bake.bread).name, 40)
            return not_at(meal.id, bake.bread, ""), f"without fresh {name} for it", bake.bread
        return not_given(meal.id, source), "without that bread for it", None

    def _bag(self, item: Item) -> Iterator[Part]:
        problem, plan = self.problem, self.plan
        lot = next(lot for lot in problem.lots if lot.id == item.thing)
        outs = [out for out in plan.take_outs if lot.id in dict(out.lots)]
        portions = lot.units * problem.bread(lot.bread).form(lot.form).portions_per_unit
        yield self._eaten([out.id for out in outs], portions)
        first = min((problem.day_of(out.at) for out in outs), default=0)
        other = replace(problem, lots=tuple(one for one in problem.lots if one.id != lot.id))
        question = Question(problem, plan, self._days(first - 1, first + 2), "if it were not there", other)
        yield from without(question, plan, question.tries(self.work))

    def _bought(self, item: Item) -> Iterator[Part]:
        bought = next(one for one in self.plan.bought if one.id == item.thing)
        yield self._eaten([bought.id], bought.loaves * self.problem.shop.portions)
        day = self.problem.day_of(bought.buy_by)
        shape = not_bought(self.problem.shop.closes.index(bought.buy_by))
        yield from self._chosen(self._days(day - 1, day + 1), "if none were bought then", all_rules(), shape=shape)

    def _day(self, item: Item) -> Iterator[Part]:
        if self._mixed(item):
            return
        bread = self._of(item.thing).bread if item.thing else None
        of = f"{self._bread_name(item)} " if bread else ""
        at = self.problem.instant(max(self.problem.midnights[item.day], 0))
        days = self._days(item.day - 1, item.day + 2)
        if item.thing:
            days |= self._days(self._of(item.thing).day, self._of(item.thing).day)
        words = f"with {of or 'something '}mixed on {weekday(at)}"
        question = Question(self.problem, self.plan, days, words, shape=baked_on(item.day, bread), bread=bread)
        yield from self._asked(question, all_rules())

    def _asked(self, question: Question, rules: Collection[str]) -> Iterator[Part]:
        """Yield what it costs to have what is asked for, and the rules that stand against it."""
        least: Look | None = None
        for part in without(question, self.plan, question.tries(self.work)):
            least = part.look
            yield part
        if least is None or not better(least.problem, least.plan, self.problem, self.plan):
            yield from standing_against(question, rules)

    def _wish(self, item: Item) -> Iterator[Part]:
        wish, problem = self._wish_of(item.thing), self.problem
        answer = next(answer for answer in self.plan.wishes if answer.wish == wish.id)
        day = problem.day_of(wish.at)
        if not answer.kept:
            days = self._days(day - 1, day + 1)
            yield from wish_cures(problem, self.plan, wish)
            question = Question(problem, self.plan, days, "with it kept", shape=kept(wish.id), bread=wish.bread)
            yield from self._asked(question, [rule for rule in all_rules() if rule != "wishes"])
            return
        other = replace(problem, wishes=tuple(one for one in problem.wishes if one.id != wish.id))
        start = replace(self.plan, wishes=tuple(one for one in self.plan.wishes if one.wish != wish.id))
        question = Question(
            problem, start, self._days(day - 1, problem.day_of(wish.until) + 1), "without that wish", other
        )
        yield from without(question, self.plan, question.tries(self.work))

    def _chosen(
        self, days: frozenset[int], words: str, rules: Collection[str], *, other: Problem | None = None,
        shape: Shape | None = None, bread: str | None = None,
    ) -> Iterator[Part]:  # fmt: skip
        yield from chosen(Question(self.problem, self.plan, days, words, other, shape, bread), rules, self.work)
