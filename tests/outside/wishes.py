"""Wishes for tiny homes: steps that the family moved, to where they may be and where they may not, alone and at odds.

Most are steps of some pattern of the home's list, so that many can be kept; some are put off by a little, or follow
another of their kind.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace

from rotation.problem import Problem, Wish, union
from tests.outside.listed import Listed, Pattern

OFF = (0, 0, 0, 0, 5, 20)


def with_wishes(problem: Problem, seed: int) -> Problem:
    """Return a home in which the family moved up to three steps, and maybe wants no bake at some hour."""
    rng = random.Random(seed)
    people = tuple(replace(person, inside=union((*person.inside, *person.free))) for person in problem.people)
    problem = replace(problem, people=people)  # who is free is in
    patterns = Listed(problem).patterns
    wishes: list[Wish] = []
    for number in range(rng.choice((1, 2, 2, 3)) if patterns else 0):
        kind, step, at = rng.choice(list(_steps(rng.choice(patterns))))
        at += rng.choice(OFF)
        if wishes and rng.random() < 0.4:
            kind, step, at = wishes[-1].kind, wishes[-1].step, wishes[-1].at + rng.choice((5, 20, 60))
        wishes.append(Wish(f"wish {number}", kind, "loaf", at, at + 1, step=step))
    if wishes and rng.random() < 0.2:
        at = wishes[0].at + rng.choice((-30, 120))
        wishes.append(Wish("none", "no bake", "loaf", at, at + 60))
    return replace(problem, wishes=tuple(wishes))


def _steps(pattern: Pattern) -> Iterator[tuple[str, str, int]]:
    """Yield kind, step and minute of what the family may move of a pattern."""
    if pattern.process is None:
        yield "fixed thaw", "", pattern.first
        yield "fixed finish", "", pattern.stay[0]
    else:
        yield "fixed", "mix", pattern.first
        yield "fixed", "oven", pattern.stay[0]
        if pattern.put_in is not None:
            bag = pattern.process.stages[-1]
            yield "fixed", "bag", pattern.put_in - bag.hands - bag.hands_per_piece * pattern.frozen
