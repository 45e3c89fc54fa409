"""The freezer's ledger: an append-only list of movements in SQLite, and everything derived from it.

Beside the movements it remembers what the family was told (`told.py`) and what was written into calendars
(`journal.py`), append-only too.

with Ledger.open(household / ".rotation") as ledger:
    for share in ledger.take("sourdough", "part-baked", 2, Note(now=now)).shares:
        print(share.lot.letter, -share.units)
"""

from rotation.ledger.book import Ledger
from rotation.ledger.happenings import Happenings
from rotation.ledger.pantry import Pantry, Said, Stated
from rotation.ledger.records import (
    Kind,
    Lot,
    LotState,
    Movement,
    NewLot,
    Note,
    Publication,
    Share,
    Standing,
)
from rotation.ledger.requests import Requests
from rotation.ledger.told import Told

__all__ = [
    "Happenings",
    "Kind",
    "Ledger",
    "Lot",
    "LotState",
    "Movement",
    "NewLot",
    "Note",
    "Pantry",
    "Publication",
    "Requests",
    "Said",
    "Share",
    "Standing",
    "Stated",
    "Told",
]
