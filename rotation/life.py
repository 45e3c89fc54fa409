"""The life of a bake, a thaw or a finish: the states it goes through, and the one table of moves between them."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from rotation.errors import BadInput, Mistake


class State(StrEnum):
    """How far a thing has come. Nothing is recorded of one that is only planned; a thaw has no oven and no cooling."""

    PLANNED = "planned"
    PUBLISHED = "published"
    BEGUN = "begun"
    IN_OVEN = "in the oven"
    COOLING = "cooling"
    PUT_AWAY = "put away"
    CLOSED = "closed"
    ABANDONED = "abandoned"


_COURSE = tuple(state for state in State if state is not State.ABANDONED)

MOVES: Mapping[State, frozenset[State]] = {
    **{state: frozenset(_COURSE[place + 1 :]) | {State.ABANDONED} for place, state in enumerate(_COURSE[:-2])},
    State.PUT_AWAY: frozenset({State.CLOSED}),
    State.CLOSED: frozenset(),
    State.ABANDONED: frozenset(),
}
"""From each state to those it may come to next. "All as planned" passes several at once; nothing ever goes back, and
what is put away is bread and cannot be given up."""

AHEAD = frozenset({State.PLANNED, State.PUBLISHED})
"""States in which nothing has been done yet, so that a plan may still move or drop it."""

OVER = frozenset({State.CLOSED, State.ABANDONED})
"""States in which nothing is left to do."""


def moved(what: str, now: State, to: State) -> State:
    """Return the state a thing comes to. Raises BadInput for a move there is not; the same state again is none."""
    if to is not now and to not in MOVES[now]:
        instead = f"From there it can be: {', '.join(sorted(MOVES[now])) or 'nothing more'}."
        raise BadInput(Mistake("done", None, what, f'is {now}, so it cannot become "{to}".', instead))
    return to
