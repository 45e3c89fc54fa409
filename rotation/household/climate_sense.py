"""What makes no sense between a household's warmth and its breads: a box that is not there, a fridge too warm."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from rotation.fermentation import CULTURES, longest_retard
from rotation.household.breads import Bread
from rotation.household.kitchen import Kitchen
from rotation.household.mistakes import Wrong
from rotation.household.processes import Process

_NAMED = "Write proof_box_degc = 26, or in_box = false in the bread."


def climate_wrong(kitchen: Kitchen, breads: Mapping[str, Bread | None]) -> Iterator[Wrong]:
    """Yield what the kitchen's warmth cannot give to a bread; at the kitchen, since that may be what is wrong."""
    for bread in (bread for bread in breads.values() if bread):
        for process in bread.processes:
            if process.in_box and kitchen.proof_box_degc is None:
                wrong = f"{bread.name}, {process.called}: stands in a warm box, but the kitchen has none."
                yield Wrong(("kitchen", "proof_box_degc"), wrong, _NAMED)
            elif process.in_box and kitchen.proof_box_degc is not None:
                yield from _box(kitchen.proof_box_degc, bread, process)
            yield from _retard(kitchen, bread, process)


def _box(degc: float, bread: Bread, process: Process) -> Iterator[Wrong]:
    culture = CULTURES[process.leaven]
    if not culture.from_degc <= degc <= culture.to_degc:
        wrong = f"how fast {culture.words} works at {degc:g} degC is not known ({bread.name}, {process.called})."
        figures = f"Figures reach from {culture.from_degc:g} to {culture.to_degc:g}: write proof_box_degc = 26"
        yield Wrong(("kitchen", "proof_box_degc"), wrong, figures)


def _retard(kitchen: Kitchen, bread: Bread, process: Process) -> Iterator[Wrong]:
    """Yield that a cold proof is longer, at its shortest, than the fridge allows."""
    most = longest_retard(kitchen.fridge_degc)
    for least in process.cold_minutes.values():
        if least > most:
            wrong = (
                f"{bread.name}, {process.called}: its cold proof of at least {least / 60:g} h is more than the "
                f"{most // 60} h that practice gives dough in a fridge of {kitchen.fridge_degc:g} degC."
            )
            instead = "Shorten it in the bread: then_minutes = [480, 1440]"
            if least <= longest_retard(0):
                instead += ", or write fridge_degc = 4 if you measured that."
            yield Wrong(("kitchen", "fridge_degc"), wrong, instead)
