"""Several writes as one, and requests that are made twice."""

from __future__ import annotations

from contextlib import suppress

import pytest

from rotation.errors import BadInput, StorageError
from rotation.ledger import Ledger, Requests


def test_what_is_done_together_is_recorded_together(ledger, lot, note, now):
    def break_off() -> None:
        with ledger.together():
            ledger.add(lot(4, id="bake-7"), note)
            with ledger.together():
                ledger.take("sourdough", "part-baked", 1, note)
            raise KeyError

    with pytest.raises(KeyError):
        break_off()
    assert ledger.history() == ()
    assert not ledger._connection.in_transaction
    with ledger.together():
        ledger.add(lot(4, id="bake-7"), note)
        with suppress(BadInput), ledger.together():
            ledger.take("sourdough", "part-baked", 1, note)
            ledger.take("sourdough", "part-baked", 9, note)
        ledger.take("sourdough", "part-baked", 2, note)
    assert [movement.units for movement in ledger.history()] == [4, -2], "what was refused took back its own part"


def test_nobody_else_writes_while_something_is_done_together(ledger, folder, lot, note):
    with ledger.together(), Ledger.open(folder, busy_seconds=0.02) as other:
        ledger.add(lot(4), note)
        assert other.history() == ()
        with pytest.raises(StorageError, match="another program is writing"):
            other.add(lot(1), note)
    assert len(ledger.history()) == 1


def test_a_request_is_answered_as_it_was_and_for_its_own_act_only(ledger, now):
    requests = Requests(ledger)
    assert requests.answer("tap-1", "done") is None
    requests.record("tap-1", "done", ["a", "b"], now)
    assert requests.answer("tap-1", "done") == ("a", "b")
    with pytest.raises(BadInput, match="was used for done, not skip"):
        requests.answer("tap-1", "skip")
    with pytest.raises(BadInput, match="is not a name"):
        requests.answer("x" * 101, "skip")
    requests.record("", "done", ["c"], now)
    assert requests.answer("", "done") is None
