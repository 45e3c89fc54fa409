"""Answers to why and what if as plain JSON values, and the JSON Schema of them. Readers may rely on every key."""

from __future__ import annotations

from collections.abc import Sequence
from functools import singledispatch
from typing import Any

from calendars.text import clean
from rotation.problem import Meal, Problem
from rotation.reasons.answers import (
    About,
    Better,
    Bound,
    Cure,
    Fed,
    Feeds,
    Part,
    Raises,
    Slack,
    Unbound,
    Uncured,
    Without,
)
from rotation.reasons.compare import Difference
from rotation.reasons.loosened import LOOSENED
from rotation.show.schema_parts import COUNT, FLAG, ID, TEXT, TIME, WHOLE, Json, document, list_, object_, or_null, said

WHY, TRY = "rotation/why/1", "rotation/try/1"
"""Name and version of what `rotation why --json` and `rotation try --json` print."""

KINDS: dict[type[Any], str] = {
    Feeds: "feeds", Fed: "fed", Better: "better", Without: "without", Bound: "binds", Unbound: "does not bind",
    Slack: "slack", Cure: "cure", Uncured: "uncured", Raises: "feed",
}  # fmt: skip
"""What the kinds of parts of an answer are called."""


def part_json(problem: Problem, part: Part, number: int) -> Json:
    """Return one part of an answer. number: its place in the answer, from 1."""
    return {"id": f"part/{number}", "kind": KINDS[type(part)], **_body(part, problem)}


def why_json(problem: Problem, household: str, about: About, parts: Sequence[Part], stopped: bool) -> Json:
    """Return an answer. stopped: whether somebody did not wait for all of it."""
    return {
        "schema": WHY,
        "household": clean(household),
        "zone": str(problem.zone),
        "about": {"kind": about.kind, "name": about.name, "what": about.what, "besides": list(about.besides)},
        "parts": [part_json(problem, part, number) for number, part in enumerate(parts, 1)],
        "stopped": stopped,
    }


def difference_json(problem: Problem, difference: Difference) -> Json:
    """Return what is other in one plan than in another."""
    return {
        "unit": "thousandths of an effort minute",
        "cost": difference.cost,
        "terms": [{"id": name, "name": name, "value": value} for name, value in difference.terms],
        "meals": [
            {**_meal(problem, one.meal), "short_before": one.before, "short_after": one.after}
            for one in difference.short
        ],
        "wishes_dropped": difference.wishes,
        "changes": list(difference.changes),
    }


def iso(problem: Problem, minute: int) -> str:
    """Return the local time of a minute."""
    return problem.instant(minute).isoformat(timespec="minutes")


def _meal(problem: Problem, meal: Meal) -> Json:
    return {"id": meal.id, "summary": clean(meal.summary), "start": iso(problem, meal.at)}


@singledispatch
def _body(part: object, problem: Problem) -> Json:
    raise NotImplementedError(type(part).__name__)


@_body.register
def _(part: Feeds, problem: Problem) -> Json:
    return {
        "meals": [{**_meal(problem, meal), "portions": portions} for meal, portions in part.meals],
        "left": part.left,
    }


@_body.register
def _(part: Fed, problem: Problem) -> Json:
    return {
        "from": [{"words": words, "portions": portions} for words, portions in part.sources],
        "portions": part.portions,
        "shortfall": part.short,
    }


@_body.register
def _(part: Raises, problem: Problem) -> Json:
    at, last = (None if minute is None else iso(problem, minute) for minute in (part.at, part.last))
    by = None if part.last is None or not part.every else iso(problem, part.last + part.every)
    return {"for": part.bread, "ahead": at, "last": last, "by": by}


@_body.register
def _(part: Better, problem: Problem) -> Json:
    return {"saving": part.saving}


@_body.register
def _(part: Without, problem: Problem) -> Json:
    difference = None if part.difference is None else difference_json(problem, part.difference)
    return {
        "asked": part.forbidden,
        "within": part.within,
        "proven": part.proven,
        "better": part.better,
        "difference": difference,
    }


@_body.register
def _(part: Bound, problem: Problem) -> Json:
    return {
        "rule": part.rule,
        "words": LOOSENED[part.rule].name,
        "saving": part.saving,
        "proven": part.proven,
        "difference": difference_json(problem, part.difference),
    }


@_body.register
def _(part: Unbound, problem: Problem) -> Json:
    return {"rules_proven": list(part.proven), "rules_not_proven": list(part.unknown)}


@_body.register
def _(part: Slack, problem: Problem) -> Json:
    times = {name: iso(problem, at) for name, at in (("start", part.start), ("first", part.first), ("last", part.last))}
    return {"step": part.step, **times, "rules_before": list(part.before), "rules_after": list(part.after)}


@_body.register
def _(part: Cure, problem: Problem) -> Json:
    return {
        "number": part.number,
        "changes": [{"kind": kind, "words": words} for kind, words in part.changes],
        "minimal": part.minimal,
        "minimal_near": part.near,
        "difference": difference_json(problem, part.difference),
    }


@_body.register
def _(part: Uncured, problem: Problem) -> Json:
    return {"tried": part.tried, "at_once": part.at_once}


# schemas ------------------------------------------------------------------------------------------------------------

_MEAL = {"summary": TEXT, "start": TIME}
_RULES: Json = {"type": "array", "items": ID}

DIFFERENCE: Json = object_(
    {
        "unit": TEXT,
        "cost": WHOLE,
        "terms": list_({"name": TEXT, "value": WHOLE}, "their sum is the cost"),
        "meals": list_({**_MEAL, "short_before": COUNT, "short_after": COUNT}, "meals short by another number"),
        "wishes_dropped": said(WHOLE, "more than before"),
        "changes": said({"type": "array", "items": TEXT}, "what is done otherwise, in words"),
    }
)


def _part(kind: type[Any], meaning: str, properties: Json) -> Json:
    of = object_({"id": ID, "kind": {"const": KINDS[kind]}, **properties})
    return said(of, meaning)


def _parts() -> list[Json]:
    words = object_({"words": TEXT, "portions": COUNT})
    proven = said(FLAG, "that nothing is better, of the plans looked at")
    return [
        _part(Feeds, "who eats of it", {"meals": list_({**_MEAL, "portions": COUNT}), "left": COUNT}),
        _part(Fed, "what a meal eats", {"from": {"type": "array", "items": words}, "portions": COUNT,
                                        "shortfall": COUNT}),
        _part(Raises, "what a feed of the starter beside any bake is for",
              {"for": said(or_null(TEXT), "the bake it makes the starter strong for; null: it keeps the starter"),
               "ahead": said(or_null(TIME), "that bake's own feed"), "last": said(or_null(TIME), "the feed before"),
               "by": said(or_null(TIME), "until when the starter may go unfed")}),
        _part(Better, "a better plan was found by the way", {"saving": COUNT}),
        _part(
            Without, "the best plan found in which it is not so, or in which what was asked for is",
            {"asked": TEXT, "within": {"enum": ["left out", "kept", "near", "all"]}, "proven": proven,
             "better": said(FLAG, "than the one before it"),
             "difference": said(or_null(DIFFERENCE), "null: no such plan was found")},
        ),
        _part(Bound, "a rule without which a better plan was found",
              {"rule": ID, "words": TEXT, "saving": said(WHOLE, "0: none without it; below: for guests"),
               "proven": proven, "difference": DIFFERENCE}),
        _part(Unbound, "rules dropped one by one with no gain", {"rules_proven": _RULES, "rules_not_proven": _RULES}),
        _part(Slack, "how far a step alone could move", {"step": TEXT, "start": TIME, "first": TIME, "last": TIME,
                                                         "rules_before": _RULES, "rules_after": _RULES}),
        _part(Cure, "changes with which there is a plan that cures it, checked",
              {"number": COUNT, "minimal": said(FLAG, "proven that no fewer of them do"),
               "minimal_near": said(FLAG, "the same while the other days stay as planned"), "difference": DIFFERENCE,
               "changes": {"type": "array", "minItems": 1, "items": object_({"kind": ID, "words": TEXT})}}),
        _part(Uncured, "no cure was found", {"tried": COUNT, "at_once": COUNT}),
    ]  # fmt: skip


def why_schema() -> Json:
    """Return the schema of `rotation why --json`."""
    besides = said({"type": "array", "items": TEXT}, "what was meant as well, by names to ask about")
    about = object_({"kind": ID, "name": TEXT, "what": TEXT, "besides": besides})
    properties = {"zone": TEXT, "about": about, "parts": parts_schema(), "stopped": FLAG}
    return document("Why something is planned so", WHY, properties)


def parts_schema() -> Json:
    """Return the schema of the parts of an answer."""
    return {"type": "array", "items": {"anyOf": _parts()}, "description": "in the order they were found"}
