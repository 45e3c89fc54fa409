"""Answer what is asked of one bread: its waits, as measuring corrects them, and what it counts in the freezer."""

from __future__ import annotations

from rotation.heat.asked import Answer, Question
from rotation.heat.cases import body
from rotation.heat.measuring import paces
from rotation.heat.waits import Waits

INTO_FREEZER_DEGC, RATED_KJ_PER_KG = 25.0, 285.0
"""Bread as it is put in, and the heat of the packs a freezer is rated with, from there to -18 degC (F03)."""


def answer(question: Question) -> Answer:
    """Return what the model says. Raises OutsideModel for a loaf or surroundings it says nothing of."""
    air, oven, doubts = paces(question)
    asked = Waits(question, air, oven)
    held = body(question.loaf).crumb.tables.enthalpy_at
    given = float(held(INTO_FREEZER_DEGC) - held(question.around.freezer)) / 1000
    return Answer(
        cool=asked.cool(),
        freeze=asked.freeze(),
        kj_per_kg=given,
        load_percent=min(100, -(-round(1000 * given / RATED_KJ_PER_KG) // 10)),
        ways=tuple(asked.way(each) for each in question.ways),
        part_bake=None if question.part_bake is None else asked.part_bake(question.part_bake),
        pace_air=air,
        pace_oven=oven,
        doubts=doubts,
    )
