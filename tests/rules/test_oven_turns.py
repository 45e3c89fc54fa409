"""Loads in turns: against a minute-by-minute oven that is worked out another way."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotation.oven_turns import Turn, bake_turns, events, loads_of, peak, temperatures, turns
from rotation.problem import TABLE, Oven, Process, Programme, Stage, Treatment
from tests.rules.house import OVEN

Load = tuple[int, int]
SET = ((5, 220), (20, 200))
"""Two turns of a programme that begins with 230."""


def oven(vessels: int, places: int) -> Oven:
    """Return an oven that gains 10 degC a minute and loses 5."""
    return replace(OVEN, vessels=vessels, places=places)


def by_the_minute(loads: list[Load], programme: Programme, vessels: int, places: int) -> list[tuple[int, int, int]]:
    """Return `(in, lid off, out)` of each load from an oven watched minute by minute: the next goes in when it can.

    The oven is as hot as the oldest load in it wants; while it is empty, it is brought back to the first temperature.
    """
    inside: list[tuple[int, int, int]] = []
    minute, waiting, degc = 0, list(loads), programme.degc
    while waiting:
        here = [load for load in inside if load[2] > minute]
        pots = sum(1 for load in here if load[1] > minute)
        room = len(here) < places and (not programme.covered or pots < vessels)
        together = all(load[0] == minute for load in here)
        if room and (not programme.turns or (together and degc == programme.degc)):
            _, uncovered = waiting.pop(0)
            inside.append((minute, minute + programme.covered, minute + programme.covered + uncovered))
        else:
            if here:
                degc = next((set_to for after, set_to in programme.turns[::-1] if after <= minute - here[0][0]), degc)
            else:
                degc = min(degc + 10, programme.degc)
            minute += 1
    return inside


@settings(derandomize=True, deadline=None, max_examples=50)
@given(
    loads=st.lists(st.tuples(st.integers(1, 3), st.integers(1, 30)), min_size=1, max_size=7),
    covered=st.integers(0, 25),
    turned=st.booleans(),
    vessels=st.integers(1, 3),
    places=st.integers(1, 4),
)
def test_turns_are_those_of_an_oven_watched_by_the_minute(
    loads: list[Load], covered: int, turned: bool, vessels: int, places: int
) -> None:
    programme = Programme(230, covered, 1, 2, SET if turned else ())
    found = turns(loads, programme, oven(vessels, places))
    assert [(turn.start, turn.uncover, turn.out) for turn in found] == by_the_minute(loads, programme, vessels, places)
    assert peak(found) <= places
    lids = [sum(other.start <= turn.start < other.uncover for other in found) for turn in found]
    assert max(lids) <= (vessels if covered else 0)


COVERED = Programme(230, 20, 1, 2)
"""20 minutes under a lid."""

LID_OFF = replace(COVERED, turns=((20, 210),))
"""And the heat down when it is off."""


def of(count: int, vessels: int, places: int, programme: Programme = COVERED) -> tuple[Turn, ...]:
    """Return the turns of loaves with 10 minutes without a lid."""
    return turns([(1, 10)] * count, programme, oven(vessels, places))


@pytest.mark.parametrize(
    ("vessels", "places", "minutes"), [(1, 1, 120), (1, 2, 90), (2, 2, 60), (2, 3, 60), (4, 4, 30)]
)
def test_four_loaves(vessels: int, places: int, minutes: int) -> None:
    assert max(turn.out for turn in of(4, vessels, places)) == minutes


@pytest.mark.parametrize(("vessels", "minutes"), [(1, 4 * 30 + 3 * 2), (2, 2 * 30 + 2), (4, 30)])
def test_two_temperatures_go_one_after_the_other(vessels: int, minutes: int) -> None:
    assert max(turn.out for turn in of(4, vessels, 4, LID_OFF)) == minutes


def test_the_heat_goes_down_with_the_lid_and_up_for_the_next_loaf() -> None:
    two = of(2, 1, 2, LID_OFF)
    assert temperatures(two, LID_OFF) == ((20, 210), (30, 230), (52, 210))
    named = [(event.offset, event.name) for event in events(two, LID_OFF)]
    assert named == [
        (20, "lid off + set 210"),
        (30, "out + set 230"),
        (32, "in"),
        (52, "lid off + set 210"),
        (62, "out"),
    ]


def test_a_loaf_that_is_out_before_the_heat_goes_down_leaves_the_oven_as_it_was() -> None:
    late = replace(COVERED, turns=((30, 210),))
    assert temperatures(of(2, 1, 2, late), late) == ()
    assert [turn.start for turn in of(2, 1, 2, late)] == [0, 30]


def test_events_at_one_minute_are_one() -> None:
    named = [(event.offset, event.name) for event in events(of(2, 1, 2), COVERED)]
    assert named == [(20, "lid off + in"), (30, "out"), (40, "lid off"), (50, "out")]


def test_trays_have_no_lid_to_take_off() -> None:
    bare = Programme(220, 0, 8, 2)
    trays = turns([(8, 12)] * 3, bare, oven(0, 2))
    assert [(event.offset, event.name) for event in events(trays, bare)] == [(12, "out + in"), (24, "out")]


@pytest.mark.parametrize(("vessels", "places"), [(0, 2), (1, 0)])
def test_an_oven_without_place_or_vessel_is_refused(vessels: int, places: int) -> None:
    with pytest.raises(ValueError, match="no place or no vessel"):
        of(1, vessels, places)


def test_longest_loads_go_first_and_equal_minutes_share_a_load() -> None:
    treatments = (
        Treatment(TABLE, 10, 60),
        Treatment("part-baked", 4, 60, 600, 720),
        Treatment("whole", 10, 60, 600, 720),
    )
    process = Process(
        "tray", "tray", (Stage("mix", 5), Stage("oven", 2)), (), (), Programme(220, 0, 6, 2), treatments, (20,), 0
    )
    pieces = ((TABLE, 5), ("part-baked", 8), ("whole", 4))
    assert loads_of(process, pieces) == ((6, 10), (3, 10), (6, 4), (2, 4))
    assert [turn.pieces for turn in bake_turns(process, pieces, oven(0, 1))] == [6, 3, 6, 2]
