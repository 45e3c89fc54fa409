"""The trial of planning again, scaled down: every plan and all that was done is checked, and not all of it changes."""

from __future__ import annotations

from datetime import datetime

import pytest

from rotation.household.reading import Home
from rotation.rehearsal.trial import trial

MOST = 4.0
"""Changes a week that a plan told may have, generously: the mark is held by the whole trial, not here."""


@pytest.mark.long
def test_what_was_told_mostly_stays(bakers: Home) -> None:
    """A week against the plan told and afresh: bread conserved, rules kept (both raise), fewer changes."""
    start = datetime(2027, 3, 1, tzinfo=bakers.zone)
    told = trial(bakers, start, 1, 11, work=0.1)
    afresh = trial(bakers, start, 1, 11, work=0.1, afresh=True)
    assert told.plans >= 3
    assert told.changes <= MOST
    assert told.changes <= afresh.changes
    assert told.wanted == afresh.wanted
