"""What became of the plan if something were other, in lines and as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from calendars.text import clean
from rotation.problem import Problem
from rotation.reasons.answers import Without
from rotation.show.fit import WIDTH, fit
from rotation.show.schema_parts import FLAG, TEXT, Json, document
from rotation.show.why import of_difference, price
from rotation.show.why_json import TRY, part_json, parts_schema

WITHIN = {
    "kept": "What still holds of the plan, nothing new",
    "near": "Mended on a few days",
    "all": "All days planned anew",
}


def title(words: Sequence[str]) -> str:
    """Return the first line of an answer."""
    return f"IF {'; '.join(map(clean, words))}"


def lines(problem: Problem, part: Without, width: int = WIDTH, *, brief: bool = False) -> Iterator[str]:
    """Yield the lines of one plan. brief: no more than what it costs."""
    assert part.difference is not None
    sure = "; no better plan is possible" if part.proven and part.within == "all" else ""
    yield from fit(f"  {WITHIN[part.within]}: {price(part.difference)}{sure}.", 6, width)
    for line in [] if brief else of_difference(problem, part.difference):
        yield from fit(f"    {line}", 6, width)


def best_lines(problem: Problem, parts: Sequence[Without], width: int = WIDTH) -> Iterator[str]:
    """Yield what is other in the last of several plans."""
    if len(parts) > 1 and (last := parts[-1].difference) is not None:
        yield "  So, in the best of these:"
        for line in of_difference(problem, last):
            yield from fit(f"    {line}", 6, width)


def try_json(
    problem: Problem, household: str, words: Sequence[str], gap: float | None, parts: Sequence[Without], stopped: bool
) -> Json:
    """Return the answer. gap: of the plan kept; stopped: whether somebody did not wait for all of it."""
    return {
        "schema": TRY,
        "household": clean(household),
        "zone": str(problem.zone),
        "supposed": [clean(one) for one in words],
        "gap": None if gap is None else round(gap, 6),
        "parts": [part_json(problem, part, number) for number, part in enumerate(parts, 1)],
        "stopped": stopped,
    }


def try_schema() -> Json:
    """Return the schema of `rotation try --json`."""
    gap = {"type": ["number", "null"], "minimum": 0, "description": "share of its cost the plan kept could save"}
    supposed: Json = {"type": "array", "items": TEXT}
    return document(
        "What would become of the plan", TRY,
        {"zone": TEXT, "supposed": supposed, "gap": gap, "parts": parts_schema(), "stopped": FLAG},
    )  # fmt: skip
