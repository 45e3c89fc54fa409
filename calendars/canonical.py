"""Whether two iCalendar texts say the same.

Servers fold lines anew, put parameters in another order and add stamps of their own: comparing bytes proves nothing.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field

STAMPS = frozenset({"DTSTAMP", "LAST-MODIFIED", "CREATED"})
"""Properties that a server may set anew without anything having been changed."""

_FOLD = re.compile(rb"\r?\n[ \t]")
_LINE_BREAK = re.compile(r"\r\n|\r|\n")
_ONE = r'(?:"[^"]*"|[^";:,]*)'
_MANY = rf'[^;:="]+={_ONE}(?:,{_ONE})*'
_NAME_AND_PARAMETERS = re.compile(rf'([^;:"]+)((?:;{_MANY})*):(.*)', re.DOTALL)
_PARAMETER = re.compile(rf';([^;:="]+)=({_ONE}(?:,{_ONE})*)')
_PARAMETER_VALUE = re.compile(r'"([^"]*)"|([^",]+)')

Line = tuple[str, tuple[tuple[str, tuple[str, ...]], ...], str]
"""A content line: its name, its parameters by name with their values, its value as written."""


@dataclass(frozen=True)
class Component:
    """One BEGIN … END: its name, its lines in canonical order, and the components within, in canonical order."""

    name: str
    lines: tuple[Line, ...] = ()
    parts: tuple[Component, ...] = field(default=())

    def value(self, name: str) -> str:
        """Return the value of the first line of this name, or ""."""
        return next((line[2] for line in self.lines if line[0] == name), "")

    @property
    def key(self) -> tuple[str, str, str]:
        """What names this component within its resource: kind, UID, RECURRENCE-ID."""
        return (self.name, self.value("UID"), self.value("RECURRENCE-ID"))


def canonical(data: bytes) -> tuple[Component, ...]:
    """Return what the text says, independent of folding, of order and of how parameters are quoted; () for no calendar.

    Nothing is left out: lines that do not follow the grammar stand as they are, with no name.
    """
    open_components: list[tuple[str, list[Line], list[Component]]] = [("", [], [])]
    for text in _LINE_BREAK.split(_FOLD.sub(b"", data).decode("utf-8", "replace")):
        if not text.strip():
            continue
        line = _line(text)
        if line[0] == "BEGIN":
            open_components.append((line[2].strip().upper(), [], []))
        elif line[0] == "END" and len(open_components) > 1:
            open_components[-2][2].append(_component(*open_components.pop()))
        else:
            open_components[-1][1].append(line)
    while len(open_components) > 1:
        open_components[-2][2].append(_component(*open_components.pop()))
    return _component(*open_components[0]).parts


def same(one: bytes, other: bytes) -> bool:
    """Whether both say the same, but for stamps, who produced it, and how zones are spelled out."""
    return _pieces(one) == _pieces(other)


def says(held: bytes, sent: bytes) -> bool:
    """Whether what is held says all that was sent; a server may add to it, a lost line or another value is a no."""
    there = _pieces(held)
    return bool(wanted := _pieces(sent)) and all(_within(piece, there) for piece in wanted)


def uids(data: bytes) -> frozenset[str]:
    """Return the UIDs of the events and tasks in the text, unescaped."""
    found = (piece.value("UID") for piece in _pieces(data) if piece.name in ("VEVENT", "VTODO"))
    return frozenset(re.sub(r"\\(.)", r"\1", uid) for uid in found if uid)


def _pieces(data: bytes) -> tuple[Component, ...]:
    """Return the events, tasks and the like of all calendars of the text, without stamps and zones."""
    return tuple(
        sorted(
            (_unstamped(part) for calendar in canonical(data) for part in calendar.parts if part.name != "VTIMEZONE"),
            key=repr,
        )
    )


def _unstamped(component: Component) -> Component:
    lines = tuple(line for line in component.lines if line[0] not in STAMPS)
    return Component(component.name, lines, tuple(_unstamped(part) for part in component.parts))


def _within(piece: Component, others: tuple[Component, ...]) -> bool:
    """Whether one of the others is the same component and says all that the piece says."""
    return any(
        piece.key == other.key
        and not Counter(piece.lines) - Counter(other.lines)
        and all(_within(part, other.parts) for part in piece.parts)
        for other in others
    )


def _component(name: str, lines: list[Line], parts: list[Component]) -> Component:
    return Component(name, tuple(sorted(lines)), tuple(sorted(parts, key=repr)))


def _line(text: str) -> Line:
    """Return one content line (RFC 5545, 3.1). Names are in upper case; values of parameters lose their quotes."""
    if (match := _NAME_AND_PARAMETERS.fullmatch(text)) is None:
        return ("", (), text)
    name, parameters, value = match.groups()
    found = sorted(
        (each.upper(), tuple(sorted(quoted or plain for quoted, plain in _PARAMETER_VALUE.findall(values))))
        for each, values in _PARAMETER.findall(parameters)
    )
    return (name.strip().upper(), tuple(found), value.replace("\\N", "\\n"))
