"""A history as CSV: carried over whole, each movement once, and every wrong line named."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rotation.errors import BadInput
from rotation.ledger import Kind, Ledger, Movement, Note, Share
from rotation.ledger.csv_file import COLUMNS, from_csv, to_csv
from rotation.ledger.importing import bring_in


@pytest.fixture
def told(ledger, lot, note):
    """Return the CSV of a ledger with something of every kind in it."""
    ledger.add(lot(4), note, baked=True)
    ledger.add(lot(3, 1), replace(note, reason='said "x, y"\nand more'))
    ledger.take("sourdough", "part-baked", 5, note)
    ledger.undo(ledger.take_from("B", 1, note).id, note)
    ledger.count("sourdough", "part-baked", 2, note)
    ledger.count("sourdough", "part-baked", 3, note)
    ledger.refreeze("B", note.now + timedelta(hours=12), replace(note, reason="power cut"))
    ledger.discard("B", 1, replace(note, reason="burn"))
    return to_csv(ledger.history())


@pytest.fixture
def other(tmp_path):
    with Ledger.open(tmp_path / "other") as opened:
        yield opened


def wrong(other, text, now):
    before = other.history()
    with pytest.raises(BadInput) as caught:
        bring_in(other, from_csv(text, "h.csv"), "h.csv", now)
    assert other.history() == before
    return str(caught.value)


def test_a_history_is_carried_over_whole_and_counts_once(ledger, other, told, now):
    written = from_csv(told, "h.csv")
    came = bring_in(other, written, "h.csv", now)
    assert (came.new, came.known) == (9, 0)
    assert other.history() == ledger.history()
    assert other.lots(now) == ledger.lots(now)
    again = bring_in(other, written, "h.csv", now)
    assert (again.new, again.known) == (0, 9)
    assert to_csv(other.history()) == told


def test_what_is_new_in_a_longer_file_is_added(ledger, other, told, now, note):
    bring_in(other, from_csv(told, "h.csv"), "h.csv", now)
    ledger.take_from("B", 1, replace(note, id="tap-1"))
    came = bring_in(other, from_csv(to_csv(ledger.history()), "h.csv"), "h.csv", now)
    assert (came.new, came.known) == (1, 9)
    assert other.lots(now) == ledger.lots(now)


@pytest.mark.parametrize(("header", "said"), [
    ("", "h.csv:1: columns: there is no movement, kind"),
    ("a;b;c", "h.csv:1: columns: there is no movement"),
    (",".join(COLUMNS[:-1]), "there is no strict_until"),
    (",".join((*COLUMNS, "shelf")), "['shelf'] are unknown"),
    (",".join(reversed(COLUMNS)), "they stand in another order"),
])  # fmt: skip
def test_wrong_columns_are_said_once_with_the_right_ones(other, now, header, said):
    message = wrong(other, f"{header}\n1,2,3\n", now)
    assert said in message
    assert ",".join(COLUMNS) in message
    assert len(message.splitlines()) == 1


def test_every_wrong_line_is_named_and_nothing_is_recorded(other, told, now):
    lines = told.splitlines()
    lines[1] = lines[1].replace("baked,2027", "eaten,2027")
    lines[-1] = lines[-1].replace(",-1,", ",-1e3,")
    lines.append("one,two")
    message = wrong(other, "\n".join(lines) + "\n", now).splitlines()
    assert [line.split(": ")[:2] for line in message] == [
        ["h.csv:2", "kind"],
        [f"h.csv:{len(lines) - 1}", "units"],
        [f"h.csv:{len(lines)}", "columns"],
    ]


@pytest.mark.parametrize(("change", "said"), [
    (lambda m: replace(m, shares=(replace(m.shares[0], units=-1),)), "does not go with baked"),
    (lambda m: replace(m, kind=Kind.TAKEN, shares=(replace(m.shares[0], units=-1),)), "0 are in it"),
    (lambda m: replace(m, at=m.at + timedelta(days=3)), "still to come"),
    (lambda m: replace(m, at=m.at - timedelta(days=9)), "was bagged only on"),
    (lambda m: replace(m, kind=Kind.UNDONE, undoes="nobody"), "not there to be taken back"),
    (lambda m: replace(m, shares=(Share(replace(m.shares[0].lot, through=m.at - timedelta(days=90)), 1),)),
     "is before it was bagged"),
])  # fmt: skip
def test_what_the_ledger_could_not_record_is_refused_with_its_line(ledger, other, lot, note, now, change, said):
    ledger.add(lot(4), note, baked=True)
    (movement,) = ledger.history()
    message = wrong(other, to_csv([change(movement)]), now)
    assert message.startswith("h.csv:2: ")
    assert said in message


def test_a_known_id_told_otherwise_is_refused(ledger, other, told, now):
    bring_in(other, from_csv(told, "h.csv"), "h.csv", now)
    first, *rest = ledger.history()
    otherwise = replace(first, shares=(replace(first.shares[0], units=5),))
    assert "recorded already, and otherwise" in wrong(other, to_csv([otherwise, *rest]), now)


def test_one_letter_is_never_on_two_bags(ledger, other, lot, note, now):
    ledger.add(lot(4), note)
    ledger.add(lot(2, 1), note)
    first, second = ledger.history()
    twin = replace(second, shares=(Share(replace(second.shares[0].lot, letter="A"), 2),))
    assert "A is on another bag then" in wrong(other, to_csv([first, twin]), now)


def test_a_bag_frozen_again_is_one_bag_for_toast(ledger, lot, note, now):
    ledger.add(lot(4), note)
    again = ledger.refreeze("A", now + timedelta(hours=12), note)
    (state,) = ledger.lots(now)
    assert (state.lot.letter, state.left, str(state.standing)) == ("A", 4, "for toast")
    assert again.units == 0
    ledger.undo(again.id, note)
    (state,) = ledger.lots(now)
    assert (state.left, str(state.standing)) == (4, "good")


@settings(derandomize=True, deadline=None, max_examples=50, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.text(st.characters(codec="utf-8"), max_size=60))
def test_any_text_is_read_or_refused_in_words(told, text):
    lines = told.splitlines()
    for broken in (text, f"{lines[0]}\n{text}", "\n".join([*lines, text]), "\n".join([lines[0], lines[1] + text])):
        said, read = "", ()
        try:
            read = from_csv(broken, "h.csv")
        except BadInput as bad:
            said = str(bad)
        assert all(line.startswith("h.csv:") for line in said.splitlines())
        assert all(isinstance(one.movement, Movement) for one in read)


def test_a_note_may_be_taken_again_from_its_own_file(ledger, lot, now):
    ledger.add(lot(4), Note(now=now, id="bake-1"), baked=True)
    came = bring_in(ledger, from_csv("\ufeff" + to_csv(ledger.history()), "h.csv"), "h.csv", now)
    assert (came.new, came.known) == (0, 1)
