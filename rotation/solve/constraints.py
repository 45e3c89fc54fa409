"""A model for CP-SAT, written as text: the library's own classes take twice the time, and load pandas.

Said in the text format of protocol buffers, in the words of the library's `CpModelProto`. A literal is the index of a
variable of 0 and 1; `~literal` is its opposite, there as here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model_helper as library

from rotation.model import Term
from rotation.solve.answer import Faulty, trusting

LEAST, MOST = -(2**63), 2**63 - 1
"""Ends of an interval that is open."""


@dataclass(frozen=True)
class Found:
    """What came of one solve. proven: the values are the best, or without values there are none."""

    values: Sequence[int] | None
    objective: float
    bound: float
    proven: bool
    status: str
    work: float = 0.0
    """What was done, in the library's deterministic units."""


class Constraints:
    """Variables and constraints under construction; both are numbered in the order they come."""

    def __init__(self) -> None:
        self.size = self.rows = 0
        self._parts: list[str] = []

    def variable(self, low: int, high: int) -> int:
        """Add a variable and return its index."""
        self._parts.append(f"variables{{domain:[{low},{high}]}}")
        self.size += 1
        return self.size - 1

    def add(self, what: str, when: Iterable[int] = ()) -> int:
        """Add a constraint that binds where all literals of `when` are true; return its index."""
        literals = ",".join(map(str, when))
        self._parts.append(
            f"constraints{{enforcement_literal:[{literals}]{what}}}" if literals else f"constraints{{{what}}}"
        )
        self.rows += 1
        return self.rows - 1

    def linear(self, terms: Sequence[Term], ends: Iterable[int], when: Iterable[int] = ()) -> None:
        """Keep a sum within intervals: their ends in order, both included."""
        variables, coefficients = ",".join([str(v) for _, v in terms]), ",".join([str(c) for c, _ in terms])
        self.add(f"linear{{vars:[{variables}]coeffs:[{coefficients}]domain:[{','.join(map(str, ends))}]}}", when)

    def literals(self, kind: str, literals: Iterable[int]) -> None:
        """Add a constraint over literals: "bool_or" or "exactly_one"."""
        self.add(f"{kind}{{literals:[{','.join(map(str, literals))}]}}")

    def try_in_order(self, variables: Sequence[int], *, least: bool) -> None:
        """Let a search in fixed order take these variables next, one after the other, the least or the most first."""
        which, named = "MIN" if least else "MAX", "".join([f"exprs{{vars:{v} coeffs:1}}" for v in variables])
        how = f"variable_selection_strategy:CHOOSE_FIRST domain_reduction_strategy:SELECT_{which}_VALUE"
        self._parts.append(f"search_strategy{{{named}{how}}}")

    def solve(
        self,
        goal: Sequence[Term] | None,
        constant: int,
        work: float,
        hints: Mapping[int, int] | None = None,
        **more: object,
    ) -> Found:
        """Make a sum small with one worker, within a deterministic limit; None: find any values.

        more: parameters by name. Raises Faulty where the library falls over, or calls the model invalid.
        """
        text = ""
        if goal is not None:
            variables, coefficients = ",".join([str(v) for _, v in goal]), ",".join([str(c) for c, _ in goal])
            text = f"objective{{vars:[{variables}]coeffs:[{coefficients}]offset:{constant} scaling_factor:1}}"
        if hints:
            known = ",".join(map(str, hints)), ",".join(map(str, hints.values()))
            text += f"solution_hint{{vars:[{known[0]}]values:[{known[1]}]}}"
        model = library.CpModelProto()
        if not model.parse_text_format("".join([*self._parts, text])):
            raise AssertionError("the model is not in the words of the library")
        solver, parameters = library.SolveWrapper(), library.SatParameters()
        said = {"num_workers": 1, "random_seed": 1, "catch_sigint_signal": False, "max_deterministic_time": work}
        for name, value in {**said, **more}.items():
            setattr(parameters, name, value)
        solver.set_parameters(parameters)
        with trusting("CP-SAT"):
            response = solver.solve(model)  # type: ignore[no-untyped-call]  # as the library describes it
        if response.status == library.MODEL_INVALID:
            raise Faulty("CP-SAT called the model invalid")
        status, there = response.status, response.status in (library.OPTIMAL, library.FEASIBLE)
        return Found(
            list(response.solution) if there else None, response.objective_value, response.best_objective_bound,
            status in (library.OPTIMAL, library.INFEASIBLE), str(status.name), response.deterministic_time,
        )  # fmt: skip


def affine(terms: Sequence[Term], constant: int) -> str:
    """Return at most one variable times a coefficient and a constant, as the text of an expression."""
    if not terms:
        return f"{{offset:{constant}}}"
    ((coefficient, variable),) = terms
    return f"{{vars:{variable} coeffs:{coefficient} offset:{constant}}}"
