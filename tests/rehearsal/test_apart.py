"""Work in processes of their own: what comes of it is the same, and nothing is waited for that is not to come."""

from __future__ import annotations

import os
import signal
import sys

import pytest

from rotation.errors import NothingPlanned, StorageError
from rotation.rehearsal.apart import Told, side_by_side


def _square(number: int, told: Told) -> int:
    told(f"squaring {number}")
    return number * number


def _refuse(number: int, told: Told) -> int:
    raise NothingPlanned(f"not {number}")


def _end_badly(number: int, told: Told) -> int:
    os.kill(os.getpid(), signal.SIGKILL)
    return number


@pytest.mark.parametrize("processes", [1, 2])
def test_what_comes_of_it_is_in_order_and_all_is_told(processes: int) -> None:
    """Whoever ends first; each is told of once as it ends."""
    said: list[str] = []
    ended: dict[int, int] = {}
    made = side_by_side(_square, [3, 1, 2], processes, said.append, ended.__setitem__)
    assert made == [9, 1, 4]
    assert ended == {3: 9, 1: 1, 2: 4}
    assert sorted(said) == ["squaring 1", "squaring 2", "squaring 3"]


def test_what_goes_wrong_is_said_here() -> None:
    """In the words it was said there."""
    with pytest.raises(NothingPlanned, match=r"not [12]"):
        side_by_side(_refuse, [1, 2], 2, print)


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal")
def test_a_process_that_is_ended_from_outside_is_not_waited_for() -> None:
    """Its end is told as what it is."""
    with pytest.raises(StorageError, match="ended from outside"):
        side_by_side(_end_badly, [1, 2], 2, print)
