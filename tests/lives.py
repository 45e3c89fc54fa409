"""Lives of a program that end when a test says so: started quickly, killed at any point, heard while they spoke."""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from multiprocessing import get_context
from multiprocessing.connection import Connection
from typing import Any

_CONTEXT = get_context("forkserver")
_CONTEXT.set_forkserver_preload(["rotation.doing", "rotation.by_hand", "rotation.household.reading"])

Work = Callable[..., None]
"""Called with a function that tells the test something, and what the test gave."""


def _live(work: Work, ear: Connection, given: tuple[Any, ...]) -> None:
    work(ear.send, *given)


def lived(work: Work, *given: Any) -> list[Any]:
    """Let some work run to its end, or to where it kills itself; return all it told."""
    ear, mouth = _CONTEXT.Pipe(duplex=False)
    program = _CONTEXT.Process(target=_live, args=(work, mouth, given))
    program.start()
    mouth.close()
    program.join()
    return _rest(ear)


def killed(chance: random.Random, most: int, work: Work, *given: Any) -> list[Any]:
    """Let some work run until it told of up to `most` things, then kill it a moment later; return all it told.

    most 0: killed at some moment from its start on.
    """
    ear, mouth = _CONTEXT.Pipe(duplex=False)
    program = _CONTEXT.Process(target=_live, args=(work, mouth, given))
    program.start()
    mouth.close()
    heard = []
    for _ in range(chance.randint(0, most)):
        try:
            heard.append(ear.recv())
        except EOFError:
            break
    time.sleep(chance.random() * 0.02)  # any point of what it does next
    program.kill()
    program.join()
    return heard + _rest(ear)


def _rest(ear: Connection) -> list[Any]:
    heard = []
    while True:
        try:
            heard.append(ear.recv())
        except (EOFError, OSError):  # nothing more, or half a word
            return heard
