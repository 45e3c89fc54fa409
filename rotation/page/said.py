"""What came of a tap: told once on the next page, with a way back; and a tap that is repeated is not done again."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from threading import Lock

from fastapi import Request
from fastapi.responses import RedirectResponse

MOST = 500
"""Taps that are remembered; of one longer ago the use cases themselves know that it was done."""


@dataclass(frozen=True)
class Said:
    """What happened, in lines. steps, movements, bought: what an undo takes back; replan: a new plan may help."""

    lines: tuple[str, ...]
    steps: tuple[str, ...] = ()
    movements: tuple[str, ...] = ()
    bought: bool = False
    replan: bool = False


class Taps:
    """The last taps, by the id of the form they came from."""

    def __init__(self) -> None:
        self._said: OrderedDict[str, Said] = OrderedDict()
        self._busy: dict[str, tuple[Lock, int]] = {}
        self._lock = Lock()

    def once(self, id_: str, act: Callable[[], Said]) -> Said:
        """Return what came of a tap; `act` is called for the first of several with the same id, unless it failed."""
        with self._lock:
            mine, waiting = self._busy.get(id_, (Lock(), 0))
            self._busy[id_] = mine, waiting + 1
        try:
            with mine:
                known = self.of(id_)
                if known is None:
                    known = act()
                    with self._lock:
                        self._said[id_] = known
                        while len(self._said) > MOST:
                            self._said.popitem(last=False)
                return known
        finally:
            with self._lock:
                mine, waiting = self._busy[id_]
                if waiting == 1:
                    del self._busy[id_]
                else:
                    self._busy[id_] = mine, waiting - 1

    def of(self, id_: str) -> Said | None:
        """Return what came of a tap, if it is remembered."""
        with self._lock:
            return self._said.get(id_)


def tapped(request: Request, id_: str, to: str, act: Callable[[], Said]) -> RedirectResponse:
    """Do what a form asks for, once, and lead to a page that tells of it."""
    taps: Taps = request.app.state.taps
    taps.once(id_, act)
    return RedirectResponse(f"{to}?said={id_}", 303)


def said_before(request: Request) -> Said | None:
    """Return what the page asked for is to tell of."""
    taps: Taps = request.app.state.taps
    return taps.of(request.query_params.get("said", ""))
