"""The flat model solved: what it finds as a plan, when, and what it proves."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from rotation.plan import Plan
from rotation.problem import Problem
from tests.rivals.flat import Flat, Hands
from tests.rivals.found import Baked, Finished, Found, as_plan


@dataclass
class Trial:
    """What a rival came to: seconds of processors and the cost at each better plan; the last of them; its bound."""

    steps: list[tuple[float, int]] = field(default_factory=list)
    plan: Plan | None = None
    bound: int | None = None
    proven: bool = False
    seconds: float = 0.0


def stopped_after(seconds: float, stop: Callable[[], None]) -> threading.Event:
    """Call something once this process has used so many more seconds of processors; not any more once set."""
    done, begin = threading.Event(), time.process_time()

    def watch() -> None:
        while not done.wait(0.2):
            if time.process_time() - begin > seconds:
                stop()
                return

    threading.Thread(target=watch, daemon=True).start()
    return done


class _Steps(cp_model.CpSolverSolutionCallback):
    def __init__(self, trial: Trial, begin: float) -> None:
        super().__init__()
        self.trial, self.begin = trial, begin

    def on_solution_callback(self) -> None:
        self.trial.steps.append((time.process_time() - self.begin, round(self.objective_value)))


def solved(problem: Problem, seconds: float, workers: int = 8, work: float | None = None) -> Trial:
    """Return what CP-SAT finds. seconds: of processors, the model's building included; work: deterministic limit."""
    begin, trial = time.process_time(), Trial()
    flat = Flat(problem)
    for bake in flat.bakes:
        flat.model.add_hint(bake.present, 0)
    for finish in flat.finishes:
        flat.model.add_hint(finish.present, 0)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = 1
    solver.parameters.catch_sigint_signal = False
    if work is not None:
        solver.parameters.max_deterministic_time = work
    done = stopped_after(seconds - (time.process_time() - begin), solver.stop_search)
    status = solver.solve(flat.model, _Steps(trial, begin))
    done.set()
    trial.seconds = time.process_time() - begin
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        trial.plan = as_plan(problem, _found(problem, flat, solver))
        trial.bound, trial.proven = round(solver.best_objective_bound), status == cp_model.OPTIMAL
    return trial


def _found(problem: Problem, flat: Flat, solver: cp_model.CpSolver) -> Found:
    value, true = solver.value, solver.boolean_value

    def who(hands: Hands) -> str:
        return next((person for _, is_, person in hands if value(is_)), "")

    found = Found()
    for bake in flat.bakes:
        if not true(bake.present):
            continue
        shape = next(shape for shape, is_ in bake.counts if true(is_))
        names = [stage.name for stage in bake.process.stages if stage.name != "bag" or shape.frozen]
        hands = {name: who(bake.who[name]) for name in names}
        hands |= {f"event {at}": who(bake.who[f"act {number}"]) for number, at in enumerate(shape.acts)}
        heat = next(how for how, is_ in bake.stay.ways.items() if true(is_))
        hands |= {"on": who(bake.stay.on)} if heat == "cold" else {}
        starts = {name: value(bake.starts[name]) for name in names}
        found.bakes.append(
            Baked(bake.stay.id, bake.bread.id, bake.process.id, bake.day, dict(shape.pieces), starts, hands, heat,
                  value(bake.stay.hot))
        )  # fmt: skip
    for finish in flat.finishes:
        if true(finish.present):
            heat = next(how for how, is_ in finish.stay.ways.items() if true(is_))
            hands = {name: who(of) for name, of in finish.who.items()}
            hands["out"] = who(next(of for on, of in finish.trips if true(on)))
            hands |= {"on": who(finish.stay.on)} if heat == "cold" else {}
            found.finishes.append(
                Finished(finish.stay.id, finish.bread.id, finish.route.id, value(finish.units), value(finish.out.at),
                         value(finish.stay.start.at), hands, heat, value(finish.stay.hot))
            )  # fmt: skip
    meals = problem.meals
    found.toast = {(b, r, meals[n].id): units for (b, r, n), of in flat.toast.items() if (units := value(of))}
    found.eaten = {(source, meals[n].id): part for (source, n), of in flat.eaten.items() if (part := value(of))}
    found.loaves = {closing: value(loaves) for closing, loaves in enumerate(flat.loaves)}
    found.thrown = {key: units for key, of in flat.thrown.items() if (units := value(of))}
    return found
