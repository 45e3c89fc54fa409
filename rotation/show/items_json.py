"""Each thing of a plan as JSON: the keys of its entry in the schema, every one with an id."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from calendars.text import clean
from rotation.facts import Source, jobs
from rotation.naming import FINISH, OUT, THAW, Key
from rotation.plan import Bake, Discard, Feeding, Finish, Plan, Stay, Step, TakeOut
from rotation.problem import BOUGHT, FEED, TABLE, Problem, Process, Route
from rotation.show.freezer import levels
from rotation.telling import Bag, meals_from, shown_end, sources

Json = dict[str, Any]


class Items:
    """The things of one plan, of which only what is shown is given. named: what steps are called, of the whole plan."""

    def __init__(self, problem: Problem, plan: Plan, named: Mapping[Key, str]) -> None:
        self.problem, self.plan, self._named = problem, plan, named
        self._outs = {out.id: out for out in plan.take_outs}
        self._sources = {source.id: source for source in sources(problem, plan)}

    def iso(self, minute: int) -> str:
        """Return a minute as ISO 8601 with the household's offset."""
        return self.problem.instant(minute).isoformat(timespec="minutes")

    def optional(self, minute: int | None) -> str | None:
        """Return a minute that may be missing."""
        return None if minute is None else self.iso(minute)

    def people(self) -> list[Json]:
        """Return who is in the house, each with the minutes of their hands."""
        spent = self._hands()
        return [
            {
                "id": person.id,
                "name": clean(person.name),
                "adult": person.adult,
                "bakes": person.bakes,
                "finishes": person.finishes,
                "hands": spent.get(person.id, 0),
            }
            for person in self.problem.people
        ]

    def _hands(self) -> dict[str, int]:
        spent: dict[str, int] = {}
        for job in jobs(self.problem, self.plan):
            if job.person is not None:
                spent[job.person] = spent.get(job.person, 0) + job.minutes
        return spent

    def _route(self, out: TakeOut) -> Route:
        return self.problem.bread(out.bread).route(out.route)

    def lot(self, bag: Bag) -> Json:
        """Return a bag of the start or of a bake of the plan; `pieces` are slices where the form is sliced."""
        return {
            "id": bag.id,
            "letter": bag.letter,
            "bread": bag.bread,
            "form": bag.form,
            "pieces": bag.units,
            "bagged": self.iso(bag.bagged),
            "through": self.iso(bag.through),
            "eat_first": self.iso(bag.eat_first),
            "toast_after": self.iso(bag.toast_after),
            "strict": self.optional(bag.strict),
            "bake": bag.bake or None,
        }

    def bake(self, bake: Bake) -> Json:
        """Return a bake; `form` is that of most frozen pieces, `treatments` has them all."""
        process = self.problem.bread(bake.bread).process(bake.process)
        frozen = sorted(((count, id_) for id_, count in bake.pieces if id_ != TABLE), reverse=True)
        lots = dict(bake.lots)
        return {
            "id": bake.id,
            "bread": bake.bread,
            "process": bake.process,
            "pieces": bake.total,
            "to_table": bake.count(TABLE),
            "to_freezer": bake.total - bake.count(TABLE),
            "form": frozen[0][1] if frozen else None,
            "treatments": [{"id": id_, "pieces": count, "lot": lots.get(id_)} for id_, count in bake.pieces],
            "day": self.problem.date_of(bake.day).isoformat(),
            "steps": [
                self.step(f"{bake.id}/{step.name}", step, held(process, step.name), (bake.id, step.name))
                for step in bake.steps
            ],
            "short_out": self._named.get((bake.id, OUT)),
            "stay": bake.stay.id,
            "ready": self.iso(bake.ready),
            "put_in": self.optional(bake.put_in),
            "meals": self.meals_of(bake.id),
            "under_way": bake.under_way,
            "late": list(bake.late),
        }

    def step(self, id_: str, step: Step, uses: Sequence[str], key: Key = ("", "")) -> Json:
        """Return one moment of hands; `hands` are its minutes, `uses` what it holds until the next.

        `short`: what a person calls it to say that it is done, where that can be said.
        """
        return {
            "id": id_,
            "name": step.name,
            "short": self._named.get(key),
            "start": self.iso(step.start),
            "end": self.iso(step.end),
            "hands": step.end - step.start,
            "who": step.who,
            "uses": list(uses),
        }

    def stay(self, owner: str, stay: Stay) -> Json:
        """Return a stay in an oven with its loads; `for` is the bake or finish it belongs to."""
        return {
            "id": stay.id,
            "oven": stay.oven,
            "for": owner,
            "heat": stay.heat,
            "heat_from": self.iso(stay.heat_from),
            "start": self.iso(stay.start),
            "end": self.iso(stay.end),
            "who_on": stay.who_on,
            "programme": {"degc": stay.degc, "vessel": stay.vessel, "turns": self._turns(stay)},
            "loads": [
                {
                    "id": f"{stay.id}/{number}",
                    "pieces": load.pieces,
                    "start": self.iso(load.start),
                    "uncover": self.iso(load.uncover),
                    "out": self.iso(load.out),
                }
                for number, load in enumerate(stay.loads, 1)
            ],
            "events": [
                self.step(f"{stay.id}/event/{number}", event, ["oven"]) for number, event in enumerate(stay.events, 1)
            ],
        }

    def _turns(self, stay: Stay) -> list[Json]:
        """Return when the oven is set to another temperature, and to which."""
        return [
            {"id": f"{stay.id}/set/{number}", "time": self.iso(stay.start + after), "degc": degc}
            for number, (after, degc) in enumerate(stay.turns, 1)
        ]

    def feed(self, feeding: Feeding, grams: Mapping[Key, str]) -> Json:
        """Return a feed of the starter beside any bake; `ahead`: the bake's own feed it makes strong, or null."""
        return {
            "id": feeding.id,
            "short": self._named.get((feeding.id, FEED)),
            "start": self.iso(feeding.start),
            "end": self.iso(feeding.end),
            "who": feeding.who,
            "ahead": None if feeding.ahead is None else self.iso(feeding.ahead),
            "what": grams.get((feeding.id, FEED), ""),
        }

    def thaw(self, out: TakeOut) -> Json:
        """Return units that leave the freezer together; `place` "none" is straight from frozen."""
        route = self._route(out)
        return {
            "id": out.id,
            "short": self._named.get((out.id, THAW)),
            "lots": [{"id": lot, "pieces": units} for lot, units in out.lots],
            "bread": out.bread,
            "form": out.form,
            "pieces": out.units,
            "place": route.place or "none",
            "route": route.id,
            "gives": route.gives,
            "start": self.iso(out.at),
            "end": self.iso(out.ready),
            "who": out.who,
            "trip": out.trip or None,
            "meals": self.meals_of(out.id),
        }

    def finish(self, finish: Finish) -> Json:
        """Return the second stay in the oven of what a take-out brought."""
        out = self._outs[finish.take_out]
        return {
            "id": finish.id,
            "short": self._named.get((finish.id, FINISH)),
            "thaw": out.id,
            "lots": [{"id": lot, "pieces": units} for lot, units in out.lots],
            "bread": out.bread,
            "pieces": out.units,
            "route": out.route,
            "stay": finish.stay.id,
            "start": self.iso(finish.stay.start),
            "end": self.iso(finish.stay.end),
            "ready": self.iso(finish.ready),
            "who": finish.who_in,
            "who_out": finish.who_out,
            "meals": self.meals_of(out.id),
        }

    def meals_of(self, source: str) -> list[Json]:
        """Return which of the shown meals eat from a source."""
        eaten, end = meals_from(self.problem, self.plan, source), shown_end(self.problem)
        return [{"id": meal.id, "portions": portions} for meal, portions in eaten if meal.at < end]

    def discard(self, discard: Discard, bags: dict[str, Bag]) -> Json:
        """Return what is thrown away, or used for crumbs."""
        bag = bags[discard.lot]
        return {
            "id": f"discard/{discard.lot}@{discard.at}",
            "lot": discard.lot,
            "bread": bag.bread,
            "form": bag.form,
            "pieces": discard.units,
            "at": self.iso(discard.at),
        }

    def ready(self, source: Source) -> Json:
        """Return bread ready to eat, from when until when, and who eats of it."""
        return {
            "id": source.id,
            "origin": self._origin(source),
            "bread": source.bread or None,
            "kind": source.kind,
            "portions": source.portions,
            "ready": self.iso(source.ready),
            "until": self.iso(source.until),
            "meals": self.meals_of(source.id),
        }

    def _origin(self, source: Source) -> str:
        if source.id in self._outs:
            return "take-out"
        if source.kind == BOUGHT:
            return "bought"
        return "bake" if any(bake.id == source.id for bake in self.plan.bakes) else "box"

    def freezer(self) -> list[Json]:
        """Return what is in the freezer at the start, then after each change."""
        return [
            {
                "id": f"{level.bread}/{level.form}@{level.minute}",
                "time": self.iso(level.minute),
                "bread": level.bread,
                "form": level.form,
                "pieces": level.units,
            }
            for level in levels(self.problem, self.plan)
        ]

    def wishes(self) -> list[Json]:
        """Return the family's wishes and what became of each; `cost` in thousandths of an effort minute, or null."""
        became = {kept.wish: kept for kept in self.plan.wishes}
        return [
            {
                "id": wish.id,
                "kind": wish.kind,
                "bread": wish.bread,
                "step": wish.step,
                "at": self.iso(wish.at),
                "until": self.iso(wish.until),
                "said": clean(wish.said),
                "kept": became[wish.id].kept if wish.id in became else None,
                "cost": became[wish.id].cost if wish.id in became else None,
                "because": clean(became[wish.id].because) if wish.id in became else "",
            }
            for wish in self.problem.wishes
        ]


def held(process: Process, step: str) -> list[str]:
    """Return what a bake holds from a step until the next: bowl, banneton, fridge spot; the oven and its like in it."""
    order = [stage.name for stage in process.stages]
    here = order.index(step)
    uses = [use.what for use in process.uses if order.index(use.since) <= here < order.index(use.until)]
    return [*uses, *(["oven"] if step == "oven" else []), *(["freezer"] if step == "bag" else [])]
