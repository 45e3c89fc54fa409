"""How much is baked, however it is said: by pieces, by flour, by dough, by baked bread, or by what a vessel holds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from rotation.bakers_math import dough_for, dough_from_flour, dough_in, loss_percent
from rotation.errors import BadInput, Mistake
from rotation.household.breads import Bread
from rotation.household.formulas import Formula

MOST_GRAMS = 100_000.0
"""More dough than this in one bake is a slip of the pen."""

GROWS = 2.2
"""A tin's dough grows to about 2.2 times its volume until it is baked (common practice, no published source)."""

Measure = Literal["pieces", "flour", "dough", "baked", "tin"]
MEASURES: tuple[Measure, ...] = get_args(Measure)


@dataclass(frozen=True)
class Amount:
    """How much: pieces, or grams of flour, dough or baked bread, or the litres of one tin that one piece fills."""

    measure: Measure
    value: float


def scaled(amount: Amount, bread: Bread, formula: Formula) -> tuple[int, float]:
    """Return `(pieces, grams of dough of one)`; pieces stay as near to the bread's own mass as they can.

    Raises BadInput for what cannot be baked.
    """
    if not 0 < amount.value < float("inf"):
        _refuse(amount, f"{amount.value:g} of it cannot be baked.", "Write a number above nothing.")
    pieces, grams = _pieces(amount, bread, formula)
    if pieces * grams > MOST_GRAMS:
        _refuse(amount, f"that is {pieces * grams / 1000:,.0f} kg of dough.", f"At most {MOST_GRAMS / 1000:.0f} kg.")
    if grams < 10:
        _refuse(amount, f"pieces of {grams:.1f} g are crumbs.", f"A piece of {bread.name} has {bread.piece_grams} g.")
    return pieces, grams


def _pieces(amount: Amount, bread: Bread, formula: Formula) -> tuple[int, float]:
    if amount.measure == "pieces":
        if amount.value != int(amount.value):
            _refuse(amount, f"{amount.value:g} is no number of pieces.", "Write a whole number.")
        return int(amount.value), float(bread.piece_grams)
    if amount.measure == "tin":
        return 1, dough_in(amount.value, GROWS)
    dough = amount.value
    if amount.measure == "flour":
        dough = dough_from_flour(formula, amount.value) * (1 - bread.process_loss_percent / 100)
    elif amount.measure == "baked":
        dough = dough_for(amount.value, loss_percent(bread.piece_grams, bread.grams))
    pieces = max(1, round(min(dough, MOST_GRAMS * 10) / bread.piece_grams))
    return pieces, dough / pieces


def _refuse(amount: Amount, wrong: str, instead: str) -> None:
    raise BadInput(Mistake(f"--{amount.measure}", None, "", wrong, instead))
