"""All inputs of a plan as understood, as JSON: enough to check every rule again without this program.

Each class of `rotation.problem` becomes an object with the names of its fields; their meaning is in the docstrings
there and in the schema. Instants are ISO 8601, spans `{start, end}`, step functions `{from, value}`, sets sorted lists.
All other whole numbers of time are elapsed minutes, or minutes after something that is named; prices are thousandths of
an effort minute.
"""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import Any

from calendars.text import clean
from rotation.problem import Problem, Published

_INSTANT = {
    "Booking": {"start", "end"},
    "Meal": {"at"},
    "Lot": {"bagged", "through", "eat_first", "toast_after", "strict"},
    "BoxItem": {"ready", "until"},
    "Wish": {"at", "until"},
    "Shop": {"closes"},
    "Problem": {"midnights"},
}
_SPANS = {"Person": {"inside", "free", "quick"}, "Oven": {"closed"}}
_STEPS = {
    "Person": {"price"},
    "Kitchen": {"bowls", "dough_grams", "bannetons", "fridge_spots", "freezer_dl", "freezing_grams_24h"},
}
_PAIRS: dict[str, dict[str, tuple[str, ...]]] = {
    "Wait": {"bounds": ("shortest", "longest")},
    "Bread": {"worth": ("portions", "value")},
    "UnderWay": {"done": ("name", "start", "end")},
}


def problem_json(problem: Problem) -> dict[str, Any]:
    """Return the problem as plain JSON values."""
    value: dict[str, Any] = _Converter(problem).thing(problem)
    return value


class _Converter:
    def __init__(self, problem: Problem) -> None:
        self.problem = problem

    def thing(self, thing: Any) -> Any:
        """Return an object with the fields of a dataclass, each by what it means."""
        kind = type(thing).__name__
        out = {field.name: self.field(kind, field.name, getattr(thing, field.name)) for field in fields(thing)}
        if isinstance(thing, Published):
            out["day"] = self.problem.date_of(thing.day).isoformat()
        return out

    def field(self, kind: str, name: str, value: Any) -> Any:
        if name == "zero":
            return self.iso(0)
        if name in _INSTANT.get(kind, ()):
            return [self.iso(at) for at in value] if isinstance(value, tuple) else self.optional(value)
        if name in _SPANS.get(kind, ()):
            return [{"start": self.iso(start), "end": self.iso(end)} for start, end in value]
        if name in _STEPS.get(kind, ()):
            return [{"from": self.iso(at), "value": level} for at, level in value]
        names = _PAIRS.get(kind, {}).get(name)
        if names:
            return [dict(zip(names, self.row(kind, pair), strict=True)) for pair in value]
        return self.plain(value)

    def row(self, kind: str, pair: tuple[Any, ...]) -> tuple[Any, ...]:
        return (pair[0], self.iso(pair[1]), self.iso(pair[2])) if kind == "UnderWay" else pair

    def plain(self, value: Any) -> Any:
        """Return a value by its type; text without anything a terminal would obey."""
        if is_dataclass(value):
            return self.thing(value)
        if isinstance(value, frozenset):
            return sorted(map(clean, value))
        if isinstance(value, tuple):
            return [self.plain(part) for part in value]
        if isinstance(value, str):
            return clean(value)
        if value is None or isinstance(value, bool | int):
            return value
        return str(value)

    def iso(self, minute: int) -> str:
        return self.problem.instant(minute).isoformat(timespec="minutes")

    def optional(self, minute: int | None) -> str | None:
        return None if minute is None else self.iso(minute)
