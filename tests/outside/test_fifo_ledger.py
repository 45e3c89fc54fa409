"""Issue from the freezer, oldest first, against a case worked by hand."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from rotation.errors import BadInput
from rotation.ledger import Kind, Ledger, NewLot, Note

INSTANCES = json.loads((Path(__file__).parent / "data" / "instances.json").read_text())["instances"]
START = datetime(2027, 3, 1, 12, tzinfo=UTC)


def test_fifo_issue_by_hand(tmp_path: Path) -> None:
    # Source: data/instances.json, "fifo_lifo_hand", kind "issuing policy, life 4 periods incl. receipt period": own
    # construction, hand-checkable. Oldest first: waste 0, unmet 0, mean age of what is issued 38 / 26 = 1.4615 periods.
    (case,) = (instance for instance in INSTANCES if instance["id"] == "fifo_lifo_hand")
    receipts, demand, life = (case["data"][key] for key in ("receipts", "demand", "life"))
    unmet = 0
    with Ledger.open(tmp_path / ".rotation") as ledger:
        for period, wanted in enumerate(demand):
            note = Note(now=START + timedelta(days=period), reason=f"period {period}")
            if str(period) in receipts:
                gone = note.now + timedelta(days=life)
                dates = {"through": note.now, "eat_first": gone, "toast_after": gone, "strict_until": gone}
                units = receipts[str(period)]
                ledger.add(NewLot(bread="loaf", form="whole", units=units, bagged=note.now, **dates), note, baked=True)
            for state in ledger.lots(note.now):
                if state.lot.strict_until is not None and state.lot.strict_until <= note.now:
                    ledger.discard(state.lot.id, None, note)
            try:
                ledger.take("loaf", "whole", wanted, note)
            except BadInput:
                there = sum(state.left for state in ledger.lots(note.now))
                unmet += wanted - there
                if there:
                    ledger.take("loaf", "whole", there, note)
        history = ledger.history()
    issued = [
        ((movement.at - share.lot.bagged).days, -share.units)
        for movement in history
        if movement.kind is Kind.TAKEN
        for share in movement.shares
    ]
    waste = -sum(movement.units for movement in history if movement.kind is Kind.DISCARDED)
    mean_age = sum(age * units for age, units in issued) / sum(units for _, units in issued)
    expected = case["expected"]["FIFO"]
    assert (waste, unmet) == (expected["waste"], expected["unmet"]) == (0, 0)
    assert mean_age == pytest.approx(expected["mean_age"], abs=5e-5)
