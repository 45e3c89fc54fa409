"""The cost of a plan, term by term, in effort minutes."""

from __future__ import annotations

from rotation.plan import Plan

_MEANING = {
    "hands": "hands at work, priced by person, day and hour",
    "bakes": "each bake, and those outside the usual days",
    "rhythm": "bakes beyond the usual number in seven days",
    "heat_ups": "heating a cold oven",
    "unmet": "everyday portions nobody gets",
    "bought": "loaves bought",
    "frozen": "days in the freezer",
    "age": "age of the bread when eaten",
    "wasted": "bread gone past its keeping time or thrown away",
    "past_date": "bags past their date",
    "reserve": "what the freezer lacks of its reserve, night by night",
    "stock": "worth of what is in the freezer at the end (taken off)",
    "changes": "changes against the plan last published",
}


def meaning(term: str) -> str:
    """Return what a term of the cost stands for, in family words."""
    return _MEANING.get(term, term.replace("_", " "))


_MOVED = {
    "hands": "hands at work",
    "bakes": "bakes, and their days",
    "rhythm": "bakes beyond the usual number in a week",
    "unmet": "portions nobody gets",
    "age": "older bread at the table",
    "wasted": "bread thrown away",
    "changes": "changes of what was told",
}
_LESS = {"age": "fresher bread at the table"}


def moved(term: str, milli: int) -> str:
    """Return what a difference of a term stands for, in few words. milli: above 0, it costs more."""
    if term == "stock":
        return f"{'less' if milli > 0 else 'more'} in the freezer at the end"
    return (_LESS.get(term) if milli < 0 else None) or _MOVED.get(term) or meaning(term)


def table(plan: Plan) -> list[str]:
    """Return the lines of the cost by term, with its sum."""
    lines = ["WHAT IT COSTS, in effort minutes, over the days shown and the few after them that the plan looks at"]
    lines += [f"  {minutes(milli):>9}  {meaning(term)}" for term, milli in plan.terms if milli]
    lines.append(f"  {minutes(plan.total):>9}  in all")
    return lines


def minutes(milli: int) -> str:
    """Return thousandths of an effort minute with one decimal, rounded half away from zero, exactly."""
    tenths = (abs(milli) + 50) // 100
    sign = "-" if milli < 0 and tenths else ""
    return f"{sign}{tenths // 10:,}.{tenths % 10}".replace(",", " ")
