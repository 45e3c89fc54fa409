"""What each movement does to what is left."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from datetime import UTC, timedelta
from pathlib import Path

import pytest

import rotation
from rotation.errors import BadInput
from rotation.ledger import Kind, Ledger, Note, Standing


def left(ledger, now):
    return {state.lot.letter: state.left for state in ledger.lots(now)}


def shares(movement):
    return [(share.lot.letter, share.units) for share in movement.shares]


def test_a_lot_comes_back_as_it_went_in(ledger, lot, now, note):
    new = lot(5, strict_until=now + timedelta(days=20), id="bake-7-part")
    movement = ledger.add(new, note, baked=True)
    (state,) = ledger.lots(now)
    assert movement.kind is Kind.BAKED
    assert movement.shares[0].lot == state.lot
    for field in ("id", "bread", "form", "bagged", "through", "eat_first", "toast_after", "strict_until"):
        assert getattr(state.lot, field) == getattr(new, field)
    assert (state.lot.letter, state.left, state.lot.bagged.tzinfo) == ("A", 5, UTC)


def test_oldest_comes_first_across_lots_and_only_of_that_bread_and_form(ledger, lot, now, note):
    ledger.add(lot(4, 3), note)
    ledger.add(lot(2, 20), note)
    ledger.add(lot(9, 40, bread="tin"), note)
    ledger.add(lot(9, 40, form="sliced"), note)
    assert shares(ledger.take("sourdough", "part-baked", 3, note)) == [("B", -2), ("A", -1)]
    assert left(ledger, now) == {"A": 3, "C": 9, "D": 9}


def test_oldest_goes_by_date_then_bagging_time_then_id(ledger, lot, now, note):
    first = lot(1, 10)
    ledger.add(replace(first, id="lot-b"), note)
    ledger.add(replace(first, id="lot-a"), note)
    ledger.add(replace(lot(1, 11), id="lot-c", eat_first=first.eat_first), note)
    ledger.add(replace(lot(1, 2), id="lot-refrozen", eat_first=now), note)
    assert [state.lot.id for state in ledger.lots(now)] == ["lot-refrozen", "lot-c", "lot-a", "lot-b"]


def test_a_named_lot_is_taken_by_letter_in_either_case_or_by_id(ledger, lot, now, note):
    ledger.add(lot(2, 20), note)
    ledger.add(lot(4, 3, id="lot-young"), note)
    ledger.take_from("b", 1, note)
    ledger.take_from("lot-young", 2, note)
    assert left(ledger, now) == {"A": 2, "B": 1}


def test_a_discard_takes_some_or_all_and_keeps_its_reason(ledger, lot, now, note):
    ledger.add(lot(6), note)
    assert ledger.discard("A", 2, replace(note, reason="freezer burn")).reason == "freezer burn"
    assert shares(ledger.discard("A", None, replace(note, reason="soft after a power cut"))) == [("A", -4)]
    assert ledger.lots(now) == ()


def test_a_count_removes_the_oldest_and_puts_back_where_last_taken(ledger, lot, now, note):
    ledger.add(lot(2, 20), note)
    ledger.add(lot(4, 3), note)
    assert shares(ledger.count("sourdough", "part-baked", 3, note)) == [("A", -2), ("B", -1)]
    ledger.take("sourdough", "part-baked", 3, note)
    assert shares(ledger.count("sourdough", "part-baked", 1, note)) == [("B", 1)]


def test_a_count_of_more_goes_to_the_oldest_where_nothing_was_taken(ledger, lot, note):
    ledger.add(lot(4, 3), note)
    ledger.add(lot(2, 20), note)
    assert shares(ledger.count("sourdough", "part-baked", 7, note)) == [("B", 1)]


def test_what_was_undone_does_not_say_where_bread_was_last_taken_from(ledger, lot, note):
    ledger.add(lot(4, 20), note)
    ledger.add(lot(4, 3), note)
    ledger.take_from("A", 2, note)
    ledger.undo(ledger.take_from("B", 1, note).id, note)
    assert shares(ledger.count("sourdough", "part-baked", 7, note)) == [("A", 1)]
    ledger.undo(ledger.count_lot("B", 5, note).id, note)
    assert shares(ledger.count("sourdough", "part-baked", 8, note)) == [("A", 1)]


def test_a_letter_means_the_bag_in_use_before_an_emptied_one(ledger, lot, now, note):
    ledger.add(lot(1, 3, id="emptied"), note)
    ledger.take_from("A", 1, note)
    ledger.add(lot(2, 90, id="in-use", letter="A"), note)
    assert [share.lot.id for share in ledger.count_lot("A", 1, note).shares] == ["in-use"]


def test_a_count_that_fits_is_recorded_without_shares(ledger, lot, note):
    ledger.add(lot(4), note)
    assert ledger.count("sourdough", "part-baked", 4, note).shares == ()
    assert ledger.count_lot("A", 4, note).shares == ()
    assert [movement.kind for movement in ledger.history()] == [Kind.ADDED, Kind.COUNTED, Kind.COUNTED]


def test_a_lot_thought_empty_can_be_counted_back(ledger, lot, now, note):
    ledger.add(lot(4), note)
    ledger.take("sourdough", "part-baked", 4, note)
    assert shares(ledger.count_lot("A", 2, note)) == [("A", 2)]
    assert left(ledger, now) == {"A": 2}


def test_undo_is_a_new_movement_and_counts_once(ledger, lot, now, note):
    ledger.add(lot(2, 20), note)
    ledger.add(lot(4, 3), note)
    taken = ledger.take("sourdough", "part-baked", 3, note)
    undone = ledger.undo(taken.id, note)
    assert shares(undone) == [("A", 2), ("B", 1)]
    assert ledger.undo(taken.id, note) == undone
    assert left(ledger, now) == {"A": 2, "B": 4}
    assert [(movement.kind, movement.undone, movement.undoes) for movement in ledger.history()[2:]] == [
        (Kind.TAKEN, True, ""),
        (Kind.UNDONE, False, taken.id),
    ]


def test_what_was_taken_since_stops_undoing_the_lot(ledger, lot, now, note):
    added = ledger.add(lot(4), note)
    ledger.take("sourdough", "part-baked", 3, note)
    with pytest.raises(BadInput, match="4 would have to leave bag A, and 1 are in it"):
        ledger.undo(added.id, note)
    assert left(ledger, now) == {"A": 1}


def test_an_undo_is_not_undone(ledger, lot, note):
    undone = ledger.undo(ledger.add(lot(4), note).id, note)
    with pytest.raises(BadInput, match="itself an undo"):
        ledger.undo(undone.id, note)


@pytest.mark.parametrize("act", ["add", "take", "take_from", "discard", "count", "count_lot"])
def test_a_repeated_id_counts_once_and_returns_the_first_outcome(ledger, lot, now, note, act):
    ledger.add(lot(9), note)
    once = Note(now=now, id="tap-1", reason="said twice")
    calls = {
        "add": lambda: ledger.add(lot(2), once),
        "take": lambda: ledger.take("sourdough", "part-baked", 5, once),
        "take_from": lambda: ledger.take_from("A", 5, once),
        "discard": lambda: ledger.discard("A", None, once),
        "count": lambda: ledger.count("sourdough", "part-baked", 2, once),
        "count_lot": lambda: ledger.count_lot("A", 2, once),
    }
    first = calls[act]()
    after = left(ledger, now)
    assert first.id == "tap-1"
    assert calls[act]() == first
    assert left(ledger, now) == after
    assert len(ledger.history()) == 2


def test_an_id_of_another_kind_of_movement_is_refused(ledger, lot, now):
    ledger.add(lot(4), Note(now=now, id="tap-1"))
    with pytest.raises(BadInput, match="recorded as added, not taken"):
        ledger.take("sourdough", "part-baked", 1, Note(now=now, id="tap-1"))


def test_letters_are_the_lowest_free_and_rest_a_week(ledger, lot, now, note):
    for _ in range(3):
        ledger.add(lot(1), note)
    ledger.take_from("B", 1, note)
    assert ledger.add(lot(1), note).shares[0].lot.letter == "D"
    later = Note(now=now + timedelta(days=7))
    assert ledger.add(lot(1), later).shares[0].lot.letter == "B"


def test_a_lot_entered_by_mistake_frees_its_letter_at_once(ledger, lot, note):
    ledger.undo(ledger.add(lot(4), note).id, note)
    assert ledger.add(lot(3), note).shares[0].lot.letter == "A"


def test_after_z_come_two_letters(ledger, lot, now):
    ledger.seed([lot(1) for _ in range(28)], "digest", now)
    letters = {state.lot.letter for state in ledger.lots(now)}
    assert {"A", "Z", "AA", "AB"} <= letters
    assert len(letters) == 28


def test_an_old_bag_whose_letter_went_on_does_not_come_back(ledger, lot, now, note):
    ledger.add(lot(1, id="old-bag"), note)
    taken = ledger.take_from("A", 1, note)
    later = Note(now=now + timedelta(days=8))
    ledger.add(lot(2, id="new-bag"), later)
    with pytest.raises(BadInput, match="A is on another bag by now"):
        ledger.undo(taken.id, later)
    with pytest.raises(BadInput, match="A is on another bag by now"):
        ledger.count_lot("old-bag", 1, later)
    found = ledger.count("sourdough", "part-baked", 3, later)
    assert [(share.lot.id, share.units) for share in found.shares] == [("new-bag", 1)]


def test_standing_and_days_left_follow_the_dates(ledger, lot, now, note):
    new = lot(4, 0, strict_until=now + timedelta(days=100))
    ledger.add(new, note)

    def at(moment):
        (state,) = ledger.lots(moment)
        return state.standing, state.days_left

    assert at(now) == (Standing.FREEZING, 28)
    assert at(new.through) == (Standing.GOOD, 27)
    assert at(new.eat_first - timedelta(seconds=1)) == (Standing.GOOD, 0)
    assert at(new.eat_first) == (Standing.EAT_FIRST, 0)
    assert at(new.toast_after) == (Standing.TOAST, -56)
    assert at(new.strict_until) == (Standing.TOAST, -72)
    assert at(new.strict_until + timedelta(seconds=1)) == (Standing.PAST_DATE, -72)


def test_a_lot_past_its_strict_date_is_not_eaten_but_always_discarded(ledger, lot, now, note):
    ledger.add(lot(2, 20, strict_until=now - timedelta(days=1)), note)
    ledger.add(lot(2, 1), note)
    with pytest.raises(BadInput, match="bag A, sourdough, was to be eaten by 28 Feb 2027"):
        ledger.take("sourdough", "part-baked", 1, note)
    with pytest.raises(BadInput, match="Do not eat it"):
        ledger.take_from("A", 1, note)
    ledger.discard("A", None, replace(note, reason="past its date"))
    assert shares(ledger.take("sourdough", "part-baked", 1, note)) == [("B", -1)]


def test_what_was_eaten_in_time_may_be_told_later(ledger, lot, now, note):
    ledger.add(lot(2, 20, strict_until=now - timedelta(hours=2)), note)
    assert shares(ledger.take("sourdough", "part-baked", 1, replace(note, at=now - timedelta(hours=3)))) == [("A", -1)]


def test_opening_stock_is_recorded_once_and_only_in_a_new_ledger(ledger, lot, now):
    stock = [lot(2, 30), lot(4, 3, letter="C"), lot(1, 2)]
    assert ledger.opening() is None
    assert not ledger.seed([], "empty", now)
    assert ledger.seed(stock, "digest-1", now)
    assert not ledger.seed(stock, "digest-1", now)
    assert not ledger.seed(stock, "digest-2", now)
    assert left(ledger, now) == {"A": 2, "C": 4, "B": 1}
    assert ledger.opening() == "digest-1"


def test_letters_on_the_bags_of_the_opening_stock_are_not_given_to_others(ledger, lot, now):
    ledger.seed([lot(2, 30), lot(4, 3, letter="A")], "digest-1", now)
    assert left(ledger, now) == {"B": 2, "A": 4}


def test_a_used_ledger_takes_no_opening_stock(ledger, lot, now, note):
    ledger.add(lot(1), note)
    assert not ledger.seed([lot(4)], "digest-1", now)
    assert ledger.opening() is None


def test_opening_stock_is_recorded_wholly_or_not_at_all(ledger, lot, now):
    with pytest.raises(BadInput, match="bag C already"):
        ledger.seed([lot(2, letter="C"), lot(4, letter="c")], "digest-1", now)
    assert (ledger.lots(now), ledger.history()) == ((), ())
    assert ledger.seed([lot(2)], "digest-1", now)


def test_the_kept_plan_is_the_last_one(ledger, folder, now):
    assert ledger.kept_plan() is None
    ledger.keep_plan('{"id": 1}', now)
    with pytest.raises(ValueError, match="Expecting"):
        ledger.keep_plan("{half", now)
    ledger.keep_plan('{"id": "é", "n": [2]}', now)
    with Ledger.open(folder) as other:
        assert other.kept_plan() == '{"id": "é", "n": [2]}'


def test_times_are_kept_as_utc_text(ledger, lot, now):
    ledger.add(lot(4), Note(now=now, at=now - timedelta(hours=1), id="x-1"))
    row = ledger._connection.execute("SELECT at, noted FROM movement").fetchone()
    assert tuple(row) == ("2027-03-01T15:30:00+00:00", "2027-03-01T16:30:00+00:00")


@pytest.mark.parametrize("table", ["lot", "movement", "share"])
@pytest.mark.parametrize("verb", ["DELETE FROM {}", "UPDATE {} SET rowid = 1", "UPDATE {} SET lot = 'x'"])
def test_nothing_recorded_is_ever_changed(ledger, lot, note, table, verb):
    ledger.add(lot(4), note)
    with pytest.raises(Exception, match=r"append-only|no such column"):
        ledger._connection.execute(verb.format(table))
    assert len(ledger.history()) == 1


def test_the_ledger_is_light_to_import():
    heavy = ["ortools", "pandas", "icalendar", "pydantic", "calendars", "rotation.solve"]
    code = f"import sys, rotation.ledger; print([name for name in {heavy} if name in sys.modules])"
    root = Path(rotation.__file__).parents[1]
    shown = subprocess.run([sys.executable, "-c", code], cwd=root, capture_output=True, text=True, check=True)
    assert shown.stdout.strip() == "[]"
