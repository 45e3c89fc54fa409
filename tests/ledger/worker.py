"""A program that keeps recording movements: `worker.py FOLDER NAME COUNT`. Prints each id once it is recorded.

Every fourth movement adds a lot of 3, the others take 1 from whatever is oldest. COUNT 0: until it is killed.
"""

from __future__ import annotations

import itertools
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

from rotation.ledger import Ledger, NewLot, Note

NOW = datetime(2027, 3, 1, 16, 30, tzinfo=UTC)


def main(folder: str, name: str, count: str) -> None:
    with Ledger.open(Path(folder), busy_seconds=120) as ledger:
        for number in itertools.islice(itertools.count(), int(count) or None):
            note = Note(now=NOW, id=f"{name}-{number}")
            if number % 4 == 0:
                dates = {"through": NOW, "eat_first": NOW + timedelta(28), "toast_after": NOW + timedelta(84)}
                lot = NewLot(bread="tin", form="sliced", units=3, bagged=NOW, id=f"lot-{name}-{number}", **dates)
                ledger.add(lot, note)
            else:
                ledger.take("tin", "sliced", 1, note)
            print(note.id, flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
