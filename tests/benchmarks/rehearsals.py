"""The whole rehearsal: rules tuned on training seeds, then all policies on test seeds, in every scenario. Takes hours.

    .venv/bin/python -m tests.benchmarks.rehearsals rows.csv --weeks 26 --seeds 30 --processes 2

One seed in all scenarios, then the next: wherever it is stopped, each scenario rests on as many seeds as the others,
or on one more; of each seed the informed reference comes last. Rows are written as each run ends, and what rules were
tuned to beside them (`rows.rules.json`); a run whose rows are there is not lived again, so stopped, it goes on where it
was. At its end (and with `--seeds 0`) it prints each scenario's figures, differences to the best rule with bootstrap
intervals of 95 %, each mark, and draws hands against slices unmet beside the rows.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from time import process_time
from typing import Any

from rotation.errors import CheckFailed
from rotation.household.reading import read_home
from rotation.intake.heat import with_waits
from rotation.rehearsal.apart import side_by_side
from rotation.rehearsal.habits import KINDS, Figures, Habit
from rotation.rehearsal.measures import Week, loaf
from rotation.rehearsal.policy import INFORMED, PLANNER, Policy
from rotation.rehearsal.report import Report, bootstrap, marks, mean_of, report
from rotation.rehearsal.runs import PLANNER_DAYS, Key, Stage, append, mend, planner, run, shown
from rotation.rehearsal.scenarios import SCENARIOS, TEST_SEEDS, TRAINING_SEEDS, Scenario, scenario
from rotation.rehearsal.setting import enough, long_problem
from rotation.rehearsal.tuning import tuned
from rotation.show.rehearsal import drawn, mark_line

WARM = 6
POLICIES = (*KINDS, PLANNER, INFORMED)
EXAMPLES = Path(__file__).parents[2] / "examples"

Lived = Mapping[Key, tuple[Week, ...]]


@dataclass(frozen=True)
class Job:
    """One thing to do in a process: a rule to be tuned (figures None, no seed), or a life."""

    stage: Stage
    policy: str
    scenario: str
    seed: int = 0
    figures: Figures | None = None
    brief: bool = False


def do(job: Job, _: object) -> tuple[Any, float]:
    """Return the figures of a rule, or the weeks of a life, and the seconds of a processor that it took.

    Words, where a life broke a rule: that is a fault of the program, and no reason to lose the others.
    """
    began, where = process_time(), scenario(job.scenario)
    if not job.seed:
        how = {"seeds": TRAINING_SEEDS[:1], "rounds": 1} if job.brief else {}
        return tuned(job.stage, where, job.policy, **how).figures, process_time() - began
    policy: Policy = planner(job.stage.home, job.policy)
    if job.figures is not None:
        policy = Habit(job.policy, job.figures)
    try:
        return run(job.stage, where, job.seed, policy, shown(policy)), process_time() - began
    except CheckFailed as fault:
        return str(fault), process_time() - began


class Rules:
    """What rules of thumb were tuned to, kept beside the rows with what all rows rest on."""

    def __init__(self, path: Path, of: dict[str, Any]) -> None:
        self.path, self.of = path, of
        self.tuned: dict[str, dict[str, Any]] = {}
        if path.exists():
            known = json.loads(path.read_text(encoding="utf-8"))
            if known["of"] != of:
                raise SystemExit(f"{path} is of {known['of']}, not of {of}: name other rows.")
            self.tuned = known["tuned"]

    def figures(self, where: str, kind: str) -> Figures | None:
        """Return what a rule was tuned to, or None."""
        known = self.tuned.get(where, {}).get(kind)
        return None if known is None else Figures(**known)

    def keep(self, where: str, kind: str, figures: Figures) -> None:
        """Remember what a rule was tuned to."""
        self.tuned.setdefault(where, {})[kind] = asdict(figures)
        self.path.write_text(json.dumps({"of": self.of, "tuned": self.tuned}, indent=1), encoding="utf-8")


def main() -> None:
    """Run what is missing, then report."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("rows", type=Path)
    parser.add_argument("--weeks", type=int, default=26)
    parser.add_argument("--seeds", type=int, default=len(TEST_SEEDS))
    parser.add_argument("--seed", type=int, action="append", help="this one, to try things: not one of the test seeds")
    parser.add_argument("--warm", type=int, default=WARM)
    parser.add_argument("--example", default="two-bakers")
    parser.add_argument("--scenario", action="append")
    parser.add_argument("--policy", action="append", choices=POLICIES)
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--brief", action="store_true", help="tune rules in one round on one training seed")
    given = parser.parse_args()
    days = enough(7 * (given.warm + given.weeks), PLANNER_DAYS)
    home = read_home(EXAMPLES / given.example)
    start = datetime(2027, 3, 1, tzinfo=home.zone)
    home, _ = with_waits(home, start, days, None)
    stage = Stage(home, long_problem(home, start, days), given.warm, given.weeks)
    chosen = [each for each in SCENARIOS if given.scenario is None or each.name in given.scenario]
    of = {"example": given.example, "weeks": given.weeks, "warm": given.warm}
    rules = Rules(given.rows.with_name(f"{given.rows.stem}.rules.json"), of)
    try:
        _tune(stage, chosen, given, rules)
        _live(stage, chosen, given, rules)
    except KeyboardInterrupt:
        print("stopped", flush=True)
    lived = mend(given.rows, given.weeks)
    for each in chosen:
        for line in _told(lived, each, loaf(stage.problem), given.rows):
            print(line)
    for line in _table(lived, chosen, loaf(stage.problem)):
        print(line)


def _tune(stage: Stage, chosen: list[Scenario], given: argparse.Namespace, rules: Rules) -> None:
    jobs = [
        Job(stage, kind, each.name, brief=given.brief)
        for each in chosen
        for kind in KINDS
        if kind in (given.policy or POLICIES) and rules.figures(each.name, kind) is None
    ]

    def ended(job: Job, made: tuple[Figures, float]) -> None:
        rules.keep(job.scenario, job.policy, made[0])
        print(f"{job.scenario}: {job.policy} tuned to {made[0]} ({made[1]:.0f} s)", flush=True)

    side_by_side(do, jobs, given.processes, print, ended)


def _live(stage: Stage, chosen: list[Scenario], given: argparse.Namespace, rules: Rules) -> None:
    lived = mend(given.rows, given.weeks)
    jobs = [
        Job(stage, policy, each.name, seed, rules.figures(each.name, policy))
        for seed in given.seed or TEST_SEEDS[: given.seeds]
        for last in (False, True)
        for each in chosen
        for policy in given.policy or POLICIES
        if (policy == INFORMED) is last and (policy, each.name, seed) not in lived
    ]

    def ended(job: Job, made: tuple[tuple[Week, ...] | str, float]) -> None:
        if isinstance(made[0], str):
            print(f"{job.scenario}, seed {job.seed}: {job.policy}: A FAULT, no rows: {made[0]}", flush=True)
            return
        append(given.rows, (job.policy, job.scenario, job.seed), made[0])
        print(f"{job.scenario}, seed {job.seed}: {job.policy} ({made[1]:.0f} s)", flush=True)

    side_by_side(do, jobs, given.processes, print, ended)


# what it comes to -------------------------------------------------------------------------------------------------


def _came(lived: Lived, of: Scenario, portions: float) -> tuple[Report, list[int]] | None:
    """Return what a scenario came to, over the seeds that the planner and every rule have lived; and these seeds."""
    names = sorted({name for name, where, _ in lived if where == of.name} - {INFORMED})
    there = sorted({seed for _, where, seed in lived if where == of.name})
    seeds = [seed for seed in there if all((name, of.name, seed) in lived for name in names)]
    if PLANNER not in names or len(names) < 2 or not seeds:
        return None
    weeks = {name: tuple(week for seed in seeds for week in lived[name, of.name, seed]) for name in names}
    return report(of.name, weeks, PLANNER, portions), seeds


def _told(lived: Lived, of: Scenario, portions: float, rows: Path) -> Iterator[str]:
    """Yield the figures of one scenario; draw them."""
    found = _came(lived, of, portions)
    yield f"\n{of.name}: {of.said}; seeds {found[1] if found else 'none yet'}"
    if found is None:
        return
    came, seeds = found
    for row in came.rows:
        yield f"  {row.name:<15} {row.figures}"
    yield from _informed(lived, of, seeds)
    yield from (f"  {line}" for line in _differences(came, len(seeds)))
    for mark in marks(came):
        yield f"  {mark_line(came, mark)}"
    rows.with_name(f"{rows.stem}-{of.name}.svg").write_text(drawn(came, of.said), encoding="utf-8")


def _table(lived: Lived, chosen: list[Scenario], portions: float) -> Iterator[str]:
    """Yield a table of all scenarios: each figure of the planner, that of the best rule, and whether its mark is."""
    yield "\n| weeks | best rule | seeds | slices unmet, of 100 | loaves wasted | age, days | hands, hours | changes |"
    yield "| --- | --- | --- | --- | --- | --- | --- | --- |"
    for of in chosen:
        found = _came(lived, of, portions)
        if found is None:
            continue
        came, seeds = found
        ours, theirs = came.planner.figures, came.best.figures
        cells = [
            f"{getattr(ours, name):{digits}} / {getattr(theirs, name):{digits}}{'' if mark.reached else ' missed'}"
            for (name, digits), mark in zip(
                (("unmet", ".1f"), ("wasted", ".2f"), ("age", ".2f"), ("hands", ".2f"), ("changes", ".2f")),
                marks(came),
                strict=True,
            )
        ]
        yield f"| {of.name} | {came.best.name} | {len(seeds)} | {' | '.join(cells)} |"


def _differences(of: Report, seeds: int) -> Iterator[str]:
    """Yield paired differences to the best rule: of seeds where there are enough of them, else of weeks."""
    number = len(of.planner.weeks) // seeds if seeds >= 5 else 1
    for measure in ("hands", "unmet", "wasted", "effort"):
        pairs = [
            mean_of(of.planner.weeks[at : at + number], measure) - mean_of(of.best.weeks[at : at + number], measure)
            for at in range(0, len(of.planner.weeks), number)
        ]
        found, what = bootstrap(pairs), "seeds" if number > 1 else "weeks"
        yield (
            f"planner less {of.best.name}, {measure} a week: {found.mean:.2f} "
            f"({found.low:.2f} to {found.high:.2f}; pairs of {len(pairs)} {what})"
        )


def _informed(lived: Lived, of: Scenario, seeds: list[int]) -> Iterator[str]:
    """Yield what it would be worth to know what comes: effort a week, over the seeds that the reference has lived."""
    both = [seed for seed in seeds if (INFORMED, of.name, seed) in lived]
    if both:
        ours, theirs = (
            [mean_of(lived[name, of.name, seed], "effort") / 1000 for seed in both] for name in (PLANNER, INFORMED)
        )
        yield (
            f"  effort minutes a week: planner {sum(ours) / len(both):.1f}, "
            f"told a week ahead what comes {sum(theirs) / len(both):.1f} (seeds {both})"
        )


if __name__ == "__main__":
    main()
