"""A rehearsal as JSON: what its page says, and what the keys mean."""

from __future__ import annotations

from typing import Any

from calendars.text import clean
from rotation.rehearsal.report import Compared, Rehearsed, marks
from rotation.rehearsal.scenarios import SCENARIOS, Scenario
from rotation.show.rehearsal import DIFFERENCES, FEW, NAMES, all_toast
from rotation.show.schema_parts import COUNT, DATE, FLAG, ID, TEXT, Json, document, list_, object_, or_null, said

SCHEMA = "rotation/rehearsal/1"
"""Name and version of what `rotation rehearse --json` prints."""

DIGITS = 4
FIGURES = {
    "unmet": "portions that no own bread gave, of a hundred that were wanted; a bought loaf counts as none",
    "guests": "of these, portions of guests, a week",
    "wasted": "loaves a week",
    "hands": "hours a week",
    "bad_hands": "hours of them a week at which a person's minute costs more than is usual",
    "bakes": "a week",
    "heat_ups": "of an oven, a week",
    "kwh": "a week; assumed",
    "age": "days since it was ready; null: all was toasted",
    "fresh": "share of what was no toast that was eaten within a day; null: all was toasted",
    "changes": "bakes added, dropped or moved in the seven days that were told, a week",
    "effort": "effort minutes a week",
}
"""What each figure of a policy means."""


def rehearsal_json(came: Rehearsed, household: str, kind: Scenario) -> dict[str, Any]:
    """Return the same as plain JSON values."""
    of, few = came.report, len(came.report.planner.weeks) < FEW
    differences = []
    for name, unit, per, _ in DIFFERENCES:
        found = of.against_best(name)
        low, high = (None, None) if few else (round(found.low / per, DIGITS), round(found.high / per, DIGITS))
        differences.append({"measure": name, "unit": unit, "mean": round(found.mean / per, DIGITS), "low": low,
                            "high": high})  # fmt: skip
    return {
        "schema": SCHEMA,
        "household": clean(household),
        "scenario": {"id": kind.name, "says": kind.said},
        "first": came.first.isoformat(),
        "last": came.last.isoformat(),
        "warm_weeks": came.warm,
        "weeks": came.weeks,
        "times": came.times,
        "over": came.over,
        "eaten_known": {"days": came.known, "of": came.days} if came.over else None,
        "policies": [
            {
                "id": row.name,
                "name": NAMES[row.name],
                "says": came.rules.get(row.name),
                "figures": {name: _figure(row, name) for name in FIGURES},
            }
            for row in of.rows
        ],
        "best_rule": of.best.name,
        "differences": differences,
        "marks": [
            {
                "figure": mark.name,
                "planner": _figure(of.planner, mark.name),
                "best_rule": _figure(of.best, mark.name),
                "most": round(mark.most, DIGITS),
                "reached": mark.reached,
            }
            for mark in marks(of)
        ],
    }


def _figure(of: Compared, name: str) -> float | None:
    return None if all_toast(of, name) else round(float(getattr(of.figures, name)), DIGITS)


def rehearsal_schema() -> Json:
    """Return the schema of `rotation rehearse --json`."""
    number, amount = {"type": "number"}, {"type": "number", "minimum": 0}
    figures = {
        name: said(or_null(amount) if "null" in meaning else amount, meaning) for name, meaning in FIGURES.items()
    }
    policy = {
        "name": TEXT,
        "says": said(or_null(TEXT), "what a rule of thumb was tuned to; null: the planner"),
        "figures": object_(figures),
    }
    end = said(or_null(number), f"of 95 in a hundred; null: fewer than {FEW} weeks do not say")
    difference = object_({"measure": ID, "unit": ID, "mean": number, "low": end, "high": end})
    mark = object_(
        {
            "figure": {"enum": list(FIGURES)},
            "planner": said(or_null(amount), "null: of age, where all was toasted"),
            "best_rule": or_null(amount),
            "most": said(amount, "what the planner may come to; of changes it has to stay under it"),
            "reached": FLAG,
        }
    )
    return document(
        "What a rehearsal came to",
        SCHEMA,
        {
            "scenario": object_({"id": {"enum": [kind.name for kind in SCENARIOS]}, "says": TEXT}),
            "first": said(DATE, "first day that is counted"),
            "last": DATE,
            "warm_weeks": said(COUNT, "lived before, and not counted"),
            "weeks": COUNT,
            "times": said(COUNT, "how often they were lived, with other chance"),
            "over": said(FLAG, "weeks before the moment, not those from it"),
            "eaten_known": said(
                or_null(object_({"days": COUNT, "of": COUNT})),
                "days of which is known what was really eaten, of all that were lived; null: they are to come",
            ),
            "policies": list_(policy, "the planner, then rules of thumb, the one of least effort first"),
            "best_rule": ID,
            "differences": said(
                {"type": "array", "items": difference}, "the planner less the best rule, in pairs of weeks, a week"
            ),
            "marks": said({"type": "array", "items": mark}, "what the planner is to reach, set before any run"),
        },
    )
