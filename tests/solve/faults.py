"""The libraries' solvers made to fail or lie at one call: in what they say, before anything is made of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from types import SimpleNamespace
from typing import Any

import highspy
import pytest
from ortools.sat.python import cp_model_helper as library

KINDS = ("infeasible", "invalid", "raises", "wrong", "nothing", "too high")
"""Says falsely that nothing is possible, or that the model is invalid; raises; gives values that break rows; gives
nothing; gives a bound that is too high."""

MUCH = 10**5


@dataclass
class Fault:
    """At which call of which library it happens, and what. calls: how often each was called; lied: whether it did."""

    library: str = ""
    kind: str = ""
    at: int = 0
    calls: dict[str, int] = field(default_factory=lambda: {"HiGHS": 0, "CP-SAT": 0})
    lied: bool = False
    lying: object = None
    """Which solver of HiGHS lies now."""

    def begin(self, library: str, kind: str, at: int) -> None:
        """Go wrong at another call, counted from here."""
        self.library, self.kind, self.at, self.lied, self.lying = library, kind, at, False, None
        self.calls = dict.fromkeys(self.calls, 0)

    def now(self, library: str) -> bool:
        """Count a call; say whether this is the one."""
        self.calls[library] += 1
        return self.library == library and self.calls[library] == self.at


def play(monkeypatch: pytest.MonkeyPatch, fault: Fault) -> None:
    """Let both libraries go wrong as a fault says."""
    _highs(monkeypatch, fault)
    _cp_sat(monkeypatch, fault)


def _highs(monkeypatch: pytest.MonkeyPatch, fault: Fault) -> None:
    states, honest = highspy.HighsModelStatus, highspy.Highs
    said = {"infeasible": states.kInfeasible, "invalid": states.kModelError, "nothing": states.kUnknown}
    status, solution, info = honest.getModelStatus, honest.getSolution, honest.getInfo

    def called(name: str) -> Any:
        call = getattr(honest, name)

        def solve(self: highspy.Highs) -> Any:
            fault.lying = None
            if not fault.now("HiGHS"):
                return call(self)
            fault.lied = True
            if fault.kind == "raises":
                raise RuntimeError("out of order")
            done = call(self)
            if fault.kind == "infeasible" and status(self) in (states.kInfeasible, states.kObjectiveBound):
                fault.lied = False  # so it is
            fault.lying = self
            return done

        return solve

    def get_status(self: highspy.Highs) -> highspy.HighsModelStatus:
        return said.get(fault.kind, status(self)) if fault.lying is self else status(self)

    def get_solution(self: highspy.Highs) -> highspy.HighsSolution:
        found = solution(self)
        if fault.lying is self and fault.kind == "wrong":
            found.col_value = [value + 1 for value in found.col_value]
        return found

    def get_info(self: highspy.Highs) -> highspy.HighsInfo:
        found = info(self)
        if fault.lying is self and fault.kind == "too high":
            found.objective_function_value += MUCH
            found.mip_dual_bound += MUCH
        return found

    for name in ("run", "solve"):
        monkeypatch.setattr(honest, name, called(name))
    monkeypatch.setattr(honest, "getModelStatus", get_status)
    monkeypatch.setattr(honest, "getSolution", get_solution)
    monkeypatch.setattr(honest, "getInfo", get_info)


def _cp_sat(monkeypatch: pytest.MonkeyPatch, fault: Fault) -> None:
    honest = library.SolveWrapper.solve
    said = {"infeasible": library.INFEASIBLE, "invalid": library.MODEL_INVALID, "nothing": library.UNKNOWN}

    def solve(self: library.SolveWrapper, model: library.CpModelProto) -> Any:
        if not fault.now("CP-SAT"):
            return honest(self, model)
        fault.lied = True
        if fault.kind == "raises":
            raise RuntimeError("out of order")
        found = honest(self, model)
        fault.lied = fault.kind != "infeasible" or found.status != library.INFEASIBLE
        return SimpleNamespace(
            status=said.get(fault.kind, found.status),
            solution=[value + (fault.kind == "wrong") for value in found.solution],
            objective_value=found.objective_value,
            best_objective_bound=found.best_objective_bound + (MUCH if fault.kind == "too high" else 0),
            deterministic_time=found.deterministic_time,
        )

    monkeypatch.setattr(library.SolveWrapper, "solve", solve)
