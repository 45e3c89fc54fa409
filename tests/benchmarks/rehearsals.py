"""The whole rehearsal: rules tuned on training seeds, then all policies on test seeds, in every scenario. Takes hours.

    .venv/bin/python -m tests.benchmarks.rehearsals rows.csv --weeks 26 --seeds 30

Rows are written as each run ends, and a run whose rows are there is not lived again: stopped, it goes on where it was.
Afterwards it prints each scenario's figures, differences in pairs over the seeds with bootstrap intervals of 95 %, and
draws hands against slices unmet beside the rows.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from statistics import fmean

from rotation.household.reading import read_home
from rotation.rehearsal.habits import KINDS, Habit
from rotation.rehearsal.measures import figures, loaf
from rotation.rehearsal.picture import Point, picture
from rotation.rehearsal.policy import Policy
from rotation.rehearsal.report import bootstrap
from rotation.rehearsal.runs import INFORMED, PLANNER, PLANNER_DAYS, Stage, append, planner, read, run, shown
from rotation.rehearsal.scenarios import SCENARIOS, TEST_SEEDS, Scenario
from rotation.rehearsal.setting import enough, long_problem
from rotation.rehearsal.tuning import tuned

WARM = 6
EXAMPLES = Path(__file__).parents[2] / "examples"


def main() -> None:
    """Run what is missing, then report."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("rows", type=Path)
    parser.add_argument("--weeks", type=int, default=26)
    parser.add_argument("--seeds", type=int, default=len(TEST_SEEDS))
    parser.add_argument("--warm", type=int, default=WARM)
    parser.add_argument("--example", default="two-bakers")
    parser.add_argument("--scenario", action="append")
    given = parser.parse_args()
    home = read_home(EXAMPLES / given.example)
    days = enough(7 * (given.warm + given.weeks), PLANNER_DAYS)
    problem = long_problem(home, datetime(2027, 3, 1, tzinfo=home.zone), days)
    stage = Stage(home, problem, given.warm, given.weeks)
    chosen = [each for each in SCENARIOS if given.scenario is None or each.name in given.scenario]
    for scenario in chosen:
        for policy in _policies(stage, scenario):
            for seed in TEST_SEEDS[: given.seeds]:
                key = policy.name, scenario.name, seed
                if key not in read(given.rows):
                    append(given.rows, key, run(stage, scenario, seed, policy, shown(policy)))
                    print(*key, flush=True)
        _report(given.rows, scenario, loaf(problem))


def _policies(stage: Stage, scenario: Scenario) -> Iterator[Policy]:
    for kind in KINDS:
        habit: Habit = tuned(stage, scenario, kind)
        print(f"{scenario.name}: {kind} tuned to {habit.figures}", flush=True)
        yield habit
    yield planner(stage.home)
    yield planner(stage.home, INFORMED)


def _report(rows: Path, scenario: Scenario, portions: float) -> None:
    lived = {key: weeks for key, weeks in read(rows).items() if key[1] == scenario.name}
    names = sorted({name for name, _, _ in lived})
    table = {
        name: figures([week for (of, _, _), weeks in lived.items() if of == name for week in weeks], portions)
        for name in names
    }
    print(f"\n{scenario.name}: {scenario.said}")
    for name, of in table.items():
        print(f"  {name:<15} {of}")
    best = min((name for name in names if name in KINDS), key=lambda name: table[name].effort)
    for measure in ("hands", "unmet", "wasted", "effort"):
        pairs = []
        for (name, _, seed), weeks in lived.items():
            other = lived.get((best, scenario.name, seed))
            if name == PLANNER and other is not None:
                pairs.append(
                    fmean(getattr(a, measure) - getattr(b, measure) for a, b in zip(weeks, other, strict=True))
                )
        if pairs:
            found = bootstrap(pairs)
            print(f"  planner less {best}, {measure} a week: {found.mean:.2f} ({found.low:.2f} to {found.high:.2f})")
    points = [Point(name, of.hands, of.unmet) for name, of in table.items()]
    drawn = picture(points, f"Hands and slices unmet: {scenario.name}", "hands, hours a week", "slices unmet, of 100")
    rows.with_name(f"{rows.stem}-{scenario.name}.svg").write_text(drawn, encoding="utf-8")


if __name__ == "__main__":
    main()
