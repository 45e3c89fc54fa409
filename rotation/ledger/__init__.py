"""The freezer's ledger: an append-only list of movements in SQLite, and everything derived from it.

with Ledger.open(household / ".rotation") as ledger:
    for share in ledger.take("sourdough", "part-baked", 2, Note(now=now)).shares:
        print(share.lot.letter, -share.units)
"""

from rotation.ledger.book import Ledger
from rotation.ledger.records import Kind, Lot, LotState, Movement, NewLot, Note, Share, Standing

__all__ = ["Kind", "Ledger", "Lot", "LotState", "Movement", "NewLot", "Note", "Share", "Standing"]
