"""What makes no sense in a formula: flours that do not come to all, parts that hold more than the whole, circles."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from rotation.household.formulas import Formula, Preferment, Soaker
from rotation.household.lines import Path
from rotation.household.mistakes import Wrong, closest, repeated

MOST_DOUGH_PERCENT = 700
"""Flour and all else by flour; above it something is a slip of the pen."""

_HAIR = 0.05
"""Per cent of the flour that rounding may be out by."""


def formula_wrong(at: Path, formula: Formula) -> Iterator[Wrong]:
    """Yield what makes no sense in the formula at this place of a bread's file."""
    yield from _hundred((*at, "flours"), formula.flours)
    if formula.water_percent > 150:
        yield Wrong(
            (*at, "water_percent"), f"{formula.water_percent:g} % of the flour is soup.", "Write water_percent = 72"
        )
    yield from _shares((*at, "others"), formula.others)
    yield from _shares((*at, "inclusions"), formula.inclusions)
    whole = 100 + formula.water_percent + sum(formula.others.values()) + sum(formula.inclusions.values())
    if whole > MOST_DOUGH_PERCENT:
        wrong = f"all comes to {whole:g} % of the flour, over seven times the flour."
        yield Wrong(at, wrong, "Write each as a share of the flour: others = { salt = 2 }")
    named: list[tuple[Path, str]] = [
        ((*at, "preferments", i, "name"), p.name) for i, p in enumerate(formula.preferments)
    ]
    yield from repeated(named + [((*at, "soakers", i, "name"), s.name) for i, s in enumerate(formula.soakers)])
    if (share := sum(p.flour_percent for p in formula.preferments)) > 100:
        yield Wrong((*at, "preferments"), f"preferments hold {share:g} % of the flour.", "Together at most 100, as 20.")
    yield from _water(at, formula)
    for index, preferment in enumerate(formula.preferments):
        yield from _preferment(formula, (*at, "preferments", index), preferment)
    for index, soaker in enumerate(formula.soakers):
        yield from _soaker(formula, (*at, "soakers", index), soaker)


def _hundred(at: Path, shares: Mapping[str, float]) -> Iterator[Wrong]:
    if abs(sum(shares.values()) - 100) > 0.5:
        first = next(iter(shares))
        yield Wrong(at, f"flours come to {sum(shares.values()):g} %, not 100.", f'Write flours = {{ "{first}" = 100 }}')


def _shares(at: Path, shares: Mapping[str, float]) -> Iterator[Wrong]:
    for name, percent in shares.items():
        if "salt" in name.casefold().split() and percent > 5:
            yield Wrong((*at, name), f"{percent:g} % of the flour is far too salty.", f'Write "{name}" = 2')
        elif percent > 150:
            wrong = f"{percent:g} % of the flour is more than a dough holds."
            yield Wrong((*at, name), wrong, "Write a share of the flour, as 10.")


def _water(at: Path, formula: Formula) -> Iterator[Wrong]:
    """Yield that what is wetted before the mix holds more water than the whole; milk and the like count as water."""
    fermented = sum(p.flour_percent * p.hydration_percent / 100 for p in formula.preferments)
    soaked = sum(soaker.water_percent for soaker in formula.soakers)
    if fermented + soaked > formula.water_percent + sum(formula.others.values()):
        holders = " and ".join(
            word for word, there in (("preferments", formula.preferments), ("soakers", formula.soakers)) if there
        )
        wrong = f"{holders} hold {fermented + soaked:g} % water, the whole formula {formula.water_percent:g} %."
        yield Wrong((*at, "water_percent"), wrong, f"It counts all water, that of the {holders} included.")


def _preferment(formula: Formula, at: Path, preferment: Preferment) -> Iterator[Wrong]:
    if preferment.flours:
        yield from _hundred((*at, "flours"), preferment.flours)
    for name, share in preferment.flours.items():
        if name not in formula.flours:
            wrong = f'"{name}" is not among the flours of the formula, which count the preferments\' too.'
            yield Wrong((*at, "flours", name), wrong, closest(name, formula.flours))
        elif (needs := preferment.flour_percent * share / 100) > formula.flours[name] + _HAIR:
            wrong = f"needs {needs:g} %, the whole formula has {formula.flours[name]:g} %."
            yield Wrong((*at, "flours", name), wrong, "The formula's flours count the preferments' too.")
    if preferment.seed_from is not None:
        yield from _seed(formula, at, preferment, preferment.seed_from)


def _seed(formula: Formula, at: Path, preferment: Preferment, seed_from: str) -> Iterator[Wrong]:
    builds = {other.name: other for other in formula.preferments}
    if seed_from not in builds:
        yield Wrong((*at, "seed_from"), f'no preferment is called "{seed_from}".', closest(seed_from, builds))
        return
    if preferment.seed_percent == 0:
        yield Wrong((*at, "seed_from"), "names a seed, but takes none of it.", "Write seed_percent = 20")
    chain = [preferment.name]
    while (before := builds[chain[-1]].seed_from) in builds and before is not None:
        if before in chain:
            circle = f"goes in a circle: {' from '.join([*chain, before])}."
            wrong = "is seeded from itself." if before == chain[-1] else circle
            yield Wrong((*at, "seed_from"), wrong, "Leave seed_from out: the kept starter seeds the first build.")
            return
        chain.append(before)


def _soaker(formula: Formula, at: Path, soaker: Soaker) -> Iterator[Wrong]:
    """Yield what soaks and is not in the formula, or more of it than is."""
    whole = {**formula.flours, **formula.others}
    for name, percent in soaker.parts.items():
        if name not in whole:
            wrong = f'"{name}" is neither among the flours nor the others of the formula, which count what soaks too.'
            yield Wrong((*at, "parts", name), wrong, closest(name, whole))
        elif percent > whole[name] + _HAIR:
            wrong = f"{percent:g} % soak, the whole formula has {whole[name]:g} %."
            yield Wrong((*at, "parts", name), wrong, "The formula counts what soaks too.")
