"""What cannot be recorded is refused in clear words, and nothing is recorded."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from rotation.errors import BadInput
from rotation.ledger import Note

FUTURE = timedelta(days=1, seconds=1)


@pytest.fixture
def stocked(ledger, lot, note):
    ledger.add(lot(2, 20), note)
    ledger.add(lot(1, 3), note)
    return ledger


def refusal(ledger, now, act):
    before = (ledger.lots(now), ledger.history())
    with pytest.raises(BadInput) as caught:
        act()
    assert (ledger.lots(now), ledger.history()) == before
    assert not ledger._connection.in_transaction
    assert str(caught.value).isprintable()
    return str(caught.value)


def test_more_than_is_there_says_what_is_there(stocked, now, note):
    wrong = refusal(stocked, now, lambda: stocked.take("sourdough", "part-baked", 5, note))
    assert wrong == (
        "freezer: units: 5 asked for, and 3 there. "
        "There is: bag A sourdough part-baked 2, bag B sourdough part-baked 1."
    )
    assert "2 there" in refusal(stocked, now, lambda: stocked.take_from("A", 3, note))
    assert "1 there" in refusal(stocked, now, lambda: stocked.discard("B", 2, replace(note, reason="burn")))


@pytest.mark.parametrize("units", [-1, 0, 10_000, 2**70, 1.5, "3", None])
def test_counts_are_whole_numbers_in_reason(stocked, lot, now, note, units):
    for act in (
        lambda: stocked.take("sourdough", "part-baked", units, note),
        lambda: stocked.take_from("A", units, note),
        lambda: stocked.add(lot(units), note),
    ):
        assert "whole number from 1 to 9999" in refusal(stocked, now, act)
    if units not in (None, 0):
        for act in (
            lambda: stocked.count("sourdough", "part-baked", units, note),
            lambda: stocked.count_lot("A", units, note),
        ):
            assert "whole number from 0 to 9999" in refusal(stocked, now, act)
    if units is not None:
        assert "whole number" in refusal(stocked, now, lambda: stocked.discard("A", units, replace(note, reason="x")))


def test_true_is_not_a_count(stocked, now, note):
    assert "not a count" in refusal(stocked, now, lambda: stocked.take_from("A", True, note))


@pytest.mark.parametrize("named", ["Q", "", "lot-unknown", "\x1b[31mA", "A" * 500, "'; DROP TABLE lot; --"])
def test_unknown_lots_are_named_harmlessly_with_what_is_there(stocked, now, note, named):
    for act in (
        lambda: stocked.take_from(named, 1, note),
        lambda: stocked.discard(named, 1, replace(note, reason="burn")),
    ):
        wrong = refusal(stocked, now, act)
        assert "no bag" in wrong
        assert "bag A sourdough part-baked 2" in wrong
    assert "no bag" in refusal(stocked, now, lambda: stocked.count_lot(named, 1, note))


def test_an_emptied_bag_gives_nothing_and_is_not_discarded_again(stocked, now, note):
    stocked.take_from("B", 1, note)
    for units in (1, None):
        wrong = refusal(stocked, now, lambda units=units: stocked.discard("B", units, replace(note, reason="burn")))
        assert "no bag 'B'" in wrong


def test_a_count_of_a_bread_never_bagged_asks_for_its_date(stocked, now, note):
    assert "Add it, with its date" in refusal(stocked, now, lambda: stocked.count("rye", "sliced", 1, note))
    assert stocked.count("rye", "sliced", 0, note).shares == ()


def test_an_unknown_movement_is_not_undone(stocked, now, note):
    for unknown in ("tap-9", "", "\x1b]0;x\x07"):
        assert "no movement" in refusal(stocked, now, lambda unknown=unknown: stocked.undo(unknown, note))


def test_a_discard_wants_a_reason(stocked, now, note):
    for reason in ("", " \t", "\x1b\x00"):
        assert "Say why" in refusal(
            stocked, now, lambda reason=reason: stocked.discard("A", 1, replace(note, reason=reason))
        )


def test_a_reason_is_kept_on_one_line_without_what_a_screen_would_obey(stocked, note):
    movement = stocked.take_from("A", 1, replace(note, reason=" for\n\x1b[2Jlunch\ud800 " + "x" * 300))
    assert movement.reason.startswith("for [2Jlunch x")
    assert len(movement.reason) == 200


def test_times_have_a_zone(stocked, lot, now):
    naive = datetime(2027, 3, 1, 12)  # noqa: DTZ001 - that is the point
    for act in (
        lambda: stocked.take_from("A", 1, Note(now=naive)),
        lambda: stocked.take_from("A", 1, Note(now=now, at=naive)),
        lambda: stocked.add(replace(lot(), eat_first=naive), Note(now=now)),
        lambda: stocked.keep_plan("{}", naive),
        lambda: stocked.lots(naive),
    ):
        assert "no time zone" in refusal(stocked, now, act)


def test_a_day_ahead_is_a_wrong_clock_and_more_is_refused(stocked, lot, now, note):
    assert "still to come" in refusal(stocked, now, lambda: stocked.take_from("A", 1, Note(now=now, at=now + FUTURE)))
    assert "still to come" in refusal(stocked, now, lambda: stocked.add(replace(lot(), bagged=now + FUTURE), note))
    ahead = stocked.take_from("A", 1, Note(now=now, at=now + timedelta(days=1)))
    assert ahead.at == now + timedelta(days=1)


def test_a_clock_set_back_is_noticed_where_it_matters(stocked, now):
    back = Note(now=now - timedelta(days=5))
    assert "bag B was bagged only on 26 Feb 2027, after 24 Feb 2027" in refusal(
        stocked, now, lambda: stocked.take_from("B", 1, back)
    )
    assert stocked.take_from("A", 1, back).at == back.now


@pytest.mark.parametrize("year", [1, 1999, 9999])
def test_absurd_years_are_refused(stocked, lot, now, note, year):
    absurd = datetime(year, 1, 1, tzinfo=UTC)
    for act in (
        lambda: stocked.add(replace(lot(), toast_after=absurd), note),
        lambda: stocked.take_from("A", 1, Note(now=now, at=absurd)),
    ):
        assert "cannot be right" in refusal(stocked, now, act)


@pytest.mark.parametrize("field", ["through", "eat_first", "toast_after", "strict_until"])
def test_no_date_of_a_lot_is_before_it_was_bagged(stocked, lot, now, note, field):
    wrong = refusal(stocked, now, lambda: stocked.add(replace(lot(), **{field: now - timedelta(days=9)}), note))
    assert f"{field}: 20 Feb 2027 is before it was bagged, 26 Feb 2027" in wrong


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("bread", ""),
        ("bread", "rye\x1b[1m"),
        ("form", " sliced"),
        ("form", "x" * 101),
        ("id", "B"),
        ("id", "abc"),
        ("id", "lot\n1"),
        ("letter", "1"),
        ("letter", "ABCD"),
        ("letter", "Ä"),
        ("bread", "\ud800"),
    ],
)
def test_names_and_letters_can_be_shown_and_found(stocked, lot, now, note, field, value):
    assert field in refusal(stocked, now, lambda: stocked.add(replace(lot(), **{field: value}), note))


def test_a_letter_in_use_and_a_known_id_are_refused(stocked, lot, now, note):
    assert "bag B already" in refusal(stocked, now, lambda: stocked.add(lot(letter="b"), note))
    stocked.add(lot(id="bake-7"), note)
    stocked.take_from("bake-7", 4, note)
    assert "a lot 'bake-7' already" in refusal(stocked, now, lambda: stocked.add(lot(id="bake-7"), note))
    assert "not a name" in refusal(stocked, now, lambda: stocked.take_from("A", 1, Note(now=now, id="x" * 101)))
