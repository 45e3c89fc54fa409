"""Loads in turns: against a minute-by-minute oven that is worked out another way."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotation.oven_turns import Turn, bake_turns, events, loads_of, peak, peak_vessels, turns
from rotation.problem import TABLE, Process, Programme, Stage, Treatment

Load = tuple[int, int]


def by_the_minute(loads: list[Load], programme: Programme, vessels: int, places: int) -> list[tuple[int, int, int]]:
    """Return `(in, lid off, out)` of each load from an oven watched minute by minute: the next goes in when it can."""
    inside: list[tuple[int, int, int]] = []
    minute, waiting = 0, list(loads)
    while waiting:
        here = [load for load in inside if load[2] > minute]
        pots = sum(1 for load in here if load[1] > minute)
        mixed = programme.covered and not programme.one_temperature and any(load[0] < minute for load in here)
        if len(here) < places and (not programme.covered or pots < vessels) and not mixed:
            _, uncovered = waiting.pop(0)
            inside.append((minute, minute + programme.covered, minute + programme.covered + uncovered))
        else:
            minute += 1
    return inside


@settings(derandomize=True, deadline=None, max_examples=50)
@given(
    loads=st.lists(st.tuples(st.integers(1, 3), st.integers(1, 30)), min_size=1, max_size=7),
    covered=st.integers(0, 25),
    one_temperature=st.booleans(),
    vessels=st.integers(1, 3),
    places=st.integers(1, 4),
)
def test_turns_are_those_of_an_oven_watched_by_the_minute(
    loads: list[Load], covered: int, one_temperature: bool, vessels: int, places: int
) -> None:
    programme = Programme(230, covered, 1, 2, one_temperature)
    found = turns(loads, programme, vessels, places)
    assert [(turn.start, turn.uncover, turn.out) for turn in found] == by_the_minute(loads, programme, vessels, places)
    assert peak(found) <= places
    assert peak_vessels(found) <= (vessels if covered else 0)


def of(count: int, vessels: int, places: int, *, one_temperature: bool = True) -> tuple[Turn, ...]:
    """Return the turns of loaves with 20 minutes under a lid and 10 without."""
    return turns([(1, 10)] * count, Programme(230, 20, 1, 2, one_temperature), vessels, places)


@pytest.mark.parametrize(
    ("vessels", "places", "minutes"), [(1, 1, 120), (1, 2, 90), (2, 2, 60), (2, 3, 60), (4, 4, 30)]
)
def test_four_loaves(vessels: int, places: int, minutes: int) -> None:
    assert max(turn.out for turn in of(4, vessels, places)) == minutes


@pytest.mark.parametrize(("vessels", "minutes"), [(1, 120), (2, 60)])
def test_two_temperatures_go_one_after_the_other(vessels: int, minutes: int) -> None:
    assert max(turn.out for turn in of(4, vessels, 4, one_temperature=False)) == minutes


def test_events_at_one_minute_are_one() -> None:
    named = [(event.offset, event.name) for event in events(of(2, 1, 2))]
    assert named == [(20, "lid off + in"), (30, "out"), (40, "lid off"), (50, "out")]


def test_trays_have_no_lid_to_take_off() -> None:
    trays = turns([(8, 12)] * 3, Programme(220, 0, 8, 2), vessels=0, places=2)
    assert [(event.offset, event.name) for event in events(trays)] == [(12, "out + in"), (24, "out")]


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
    assert [turn.pieces for turn in bake_turns(process, pieces, 0, 1)] == [6, 3, 6, 2]
