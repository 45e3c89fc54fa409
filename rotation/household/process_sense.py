"""What makes no sense in a process: steps out of order, waits and spans that cannot all hold, uses of no step."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from rotation.fermentation import CULTURES
from rotation.household.lines import Path
from rotation.household.mistakes import Wrong, closest, repeated
from rotation.household.processes import Process, Span


def process_wrong(at: Path, process: Process) -> Iterator[Wrong]:
    """Yield what makes no sense in the process at this place."""
    names = [stage.name for stage in process.stages]
    yield from repeated(((*at, "stages", i, "name"), name) for i, name in enumerate(names))
    yield from _order((*at, "stages"), names)
    yield from _waits((*at, "stages"), process)
    for index, span in enumerate(process.spans):
        where = (*at, "spans", index)
        wrong = list(_two_steps(where, "first", span.first, "second", span.second, names))
        yield from wrong or _span(where, process, span)
    for index, use in enumerate(process.uses):
        yield from _two_steps((*at, "uses", index), "since", use.since, "until", use.until, names)
    yield from _warmth(at, process)
    if any(first >= second for first, second in pairwise(process.pieces)):
        yield Wrong(
            (*at, "pieces"), "sizes are not in rising order.", "Write each once, smallest first: pieces = [1, 2, 3]"
        )


def _warmth(at: Path, process: Process) -> Iterator[Wrong]:
    """Yield temperatures at which nobody knows how fast the leaven works, where times follow them."""
    if not (any(stage.warm for stage in process.stages) or any(span.warm for span in process.spans)):
        return
    culture = CULTURES[process.leaven]
    for name, degc in (("reference_degc", process.reference_degc), ("dough_degc", process.dough_degc)):
        if degc is not None and not culture.from_degc <= degc <= culture.to_degc:
            wrong = f"how fast {culture.words} works at {degc:g} degC is not known, so no time can follow from it."
            figures = f"figures reach from {culture.from_degc:g} to {culture.to_degc:g}."
            yield Wrong((*at, name), wrong, f"Write {name} = {24 if name == 'dough_degc' else 21}; {figures}")


def _order(at: Path, names: list[str]) -> Iterator[Wrong]:
    for name in ("mix", "oven"):
        if name not in names:
            yield Wrong(at, f'no step is called "{name}".', 'Every process has one "mix" and, later, one "oven".')
    if "oven" in names:
        for index in range(names.index("oven") + 1, len(names)):
            if names[index] != "bag":
                yield Wrong(
                    (*at, index), f'"{names[index]}" comes after the oven.', 'Only "bag" does: it is the last step.'
                )
    elif "bag" in names[:-1]:
        yield Wrong(
            (*at, names.index("bag")), '"bag" is not the last step.', "Loaves are bagged when they are baked and cool."
        )


def _waits(at: Path, process: Process) -> Iterator[Wrong]:
    for index, stage in enumerate(process.stages):
        told = stage.name in ("oven", "bag")
        if told and stage.then_minutes is not None:
            wrong = f'"{stage.name}" has a wait, but what follows it is told by the forms.'
            yield Wrong((*at, index, "then_minutes"), wrong, "Leave then_minutes out.")
        elif not told and stage.then_minutes is None:
            yield Wrong(
                (*at, index), f'"{stage.name}" does not say how long to wait after it.', "Write then_minutes = [30, 45]"
            )
        elif stage.then_minutes and stage.then_minutes[0] > stage.then_minutes[1]:
            yield Wrong(
                (*at, index, "then_minutes"), "its shortest wait is above its longest.", "Write then_minutes = [30, 45]"
            )


def _two_steps(at: Path, one: str, first: str, other: str, second: str, names: list[str]) -> Iterator[Wrong]:
    missing = [(key, name) for key, name in ((one, first), (other, second)) if name not in names]
    for key, name in missing:
        yield Wrong((*at, key), f'no step is called "{name}".', closest(name, names))
    if not missing and names.index(first) >= names.index(second):
        yield Wrong((*at, other), f'"{second}" is not after "{first}".', "Name the earlier step first.")


def _span(at: Path, process: Process, span: Span) -> Iterator[Wrong]:
    """Yield what is wrong with a span whose steps are there: its own bounds, or those of the waits within."""
    if span.second == "bag":
        yield Wrong((*at, "second"), 'a span cannot end at "bag".', "What follows the oven is told by the forms.")
        return
    if span.minutes[0] > span.minutes[1]:
        yield Wrong((*at, "minutes"), "its shortest time is above its longest.", "Write minutes = [240, 300]")
        return
    names = [stage.name for stage in process.stages]
    inner = process.stages[names.index(span.first) : names.index(span.second)]
    waits = [stage.then_minutes for stage in inner if stage.then_minutes]
    if len(waits) < len(inner):
        return
    few, many = min(process.pieces), max(process.pieces)
    least = sum(stage.hands_minutes + stage.hands_minutes_per_piece * few for stage in inner) + sum(w[0] for w in waits)
    most = sum(stage.hands_minutes + stage.hands_minutes_per_piece * many for stage in inner) + sum(w[1] for w in waits)
    if least > span.minutes[1]:
        wrong = f"it is at most {span.minutes[1]} minutes, but its steps and waits take at least {least}."
        yield Wrong((*at, "minutes"), wrong, f"Write minutes = [{least}, {least + 60}], or shorten the waits.")
    if most < span.minutes[0]:
        wrong = f"it is at least {span.minutes[0]} minutes, but its steps and waits take at most {most}."
        yield Wrong((*at, "minutes"), wrong, f"Write minutes = [{max(most - 60, 0)}, {most}], or lengthen the waits.")
