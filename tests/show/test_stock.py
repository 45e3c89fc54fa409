"""What a movement of the freezer did, in words: pieces of one kind are added up, loaves and slices are not."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from rotation.ledger import Kind, Lot, Movement, Share
from rotation.show.stock import moved

NOW = datetime(2027, 3, 1, 6, tzinfo=UTC)


def share(letter: str, form: str, units: int) -> Share:
    lot = Lot(
        id=f"lot-{letter}", letter=letter, bread="oat", form=form, bagged=NOW, through=NOW, eat_first=NOW,
        toast_after=NOW, strict_until=None,
    )  # fmt: skip
    return Share(lot, units)


@pytest.mark.parametrize(
    ("shares", "said"),
    [
        (
            [share("A", "part-baked", 2), share("B", "sliced", 16)],
            "In: 2 part-baked of bag A (oat), 16 slices of bag B (oat).",
        ),
        (
            [share("A", "baked", -2), share("B", "sliced", -1)],
            "Out: 2 baked whole of bag A (oat), 1 slice of bag B (oat).",
        ),
        ([share("A", "sliced", -2), share("B", "sliced", -1)], "3 out: 2 of bag A (oat), 1 of bag B (oat)."),
        ([share("A", "part-baked", 2)], "2 in: 2 of bag A (oat)."),
    ],
)
def test_loaves_and_slices_are_said_each(shares: list[Share], said: str) -> None:
    assert moved(Movement("m", Kind.ADDED, NOW, NOW, "", "", False, tuple(shares))) == said
