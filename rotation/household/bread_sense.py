"""What makes no sense in a bread, though every single setting may stand: formula, forms, routes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from rotation.household import usual
from rotation.household.breads import Bread, Form, FormId, Route
from rotation.household.formulas import Formula, Preferment
from rotation.household.lines import Path
from rotation.household.mistakes import Wrong, closest, repeated
from rotation.household.process_sense import process_wrong


def bread_wrong(bread: Bread) -> Iterator[Wrong]:
    """Yield what makes no sense in a bread."""
    yield from _formula(bread.formula)
    yield from _keeping(bread)
    for id_, form in bread.forms.items():
        yield from _form(bread, id_, form)
    yield from repeated((("processes", i, "id"), p.id) for i, p in enumerate(bread.processes))
    yield from repeated((("routes", i, "id"), route.id) for i, route in enumerate(bread.routes))
    for index, process in enumerate(bread.processes):
        yield from process_wrong(("processes", index), process)
    for index, route in enumerate(bread.routes):
        yield from _route(bread, ("routes", index), route)
    known = ingredients(bread.formula)
    for name in bread.contains:
        if name.casefold() not in {one.casefold() for one in known}:
            yield Wrong(("contains", name), "is not in the formula.", closest(name, known))


def ingredients(formula: Formula) -> tuple[str, ...]:
    """Return every ingredient of a formula once, flours first."""
    own = [*formula.flours, *formula.others]
    for preferment in formula.preferments:
        own += [*preferment.flours, *preferment.others]
    return tuple(dict.fromkeys(own))


def _formula(formula: Formula) -> Iterator[Wrong]:
    yield from _hundred(("formula", "flours"), formula.flours)
    if formula.water_percent > 150:
        yield Wrong(
            ("formula", "water_percent"),
            f"{formula.water_percent:g} % of the flour is soup.",
            "Write water_percent = 72",
        )
    for name, percent in formula.others.items():
        at: Path = ("formula", "others", name)
        if "salt" in name.casefold().split() and percent > 5:
            yield Wrong(at, f"{percent:g} % of the flour is far too salty.", f'Write "{name}" = 2')
        elif percent > 150:
            yield Wrong(
                at, f"{percent:g} % of the flour is more than a dough holds.", "Write a share of the flour, as 10."
            )
    yield from repeated((("formula", "preferments", i, "name"), p.name) for i, p in enumerate(formula.preferments))
    if (share := sum(p.flour_percent for p in formula.preferments)) > 100:
        yield Wrong(
            ("formula", "preferments"), f"preferments hold {share:g} % of the flour.", "Together at most 100, as 20."
        )
    water = sum(p.flour_percent * p.hydration_percent / 100 for p in formula.preferments)
    if water > formula.water_percent + sum(formula.others.values()):
        wrong = f"preferments hold {water:g} % water, the whole formula {formula.water_percent:g} %."
        yield Wrong(("formula", "water_percent"), wrong, "It counts all water, the preferments' included.")
    for index, preferment in enumerate(formula.preferments):
        yield from _preferment(formula, ("formula", "preferments", index), preferment)


def _preferment(formula: Formula, at: Path, preferment: Preferment) -> Iterator[Wrong]:
    if preferment.flours:
        yield from _hundred((*at, "flours"), preferment.flours)
    for name, share in preferment.flours.items():
        if name not in formula.flours:
            wrong = f'"{name}" is not among the flours of the formula, which count the preferments\' too.'
            yield Wrong((*at, "flours", name), wrong, closest(name, formula.flours))
        elif preferment.flour_percent * share / 100 > formula.flours[name] + 0.05:
            wrong = (
                f"needs {preferment.flour_percent * share / 100:g} %, the whole formula has {formula.flours[name]:g} %."
            )
            yield Wrong((*at, "flours", name), wrong, "The formula's flours count the preferments' too.")
    if preferment.seed_from is None:
        return
    builds = {other.name: other for other in formula.preferments}
    if preferment.seed_from not in builds:
        yield Wrong(
            (*at, "seed_from"),
            f'no preferment is called "{preferment.seed_from}".',
            closest(preferment.seed_from, builds),
        )
        return
    if preferment.seed_percent == 0:
        yield Wrong((*at, "seed_from"), "names a seed, but takes none of it.", "Write seed_percent = 20")
    chain = [preferment.name]
    while (before := builds[chain[-1]].seed_from) in builds and before is not None:
        if before in chain:
            wrong = (
                "is seeded from itself."
                if before == chain[-1]
                else f"goes in a circle: {' from '.join([*chain, before])}."
            )
            yield Wrong((*at, "seed_from"), wrong, "Leave seed_from out: the kept starter seeds the first build.")
            return
        chain.append(before)


def _hundred(at: Path, shares: dict[str, float]) -> Iterator[Wrong]:
    if abs(sum(shares.values()) - 100) > 0.5:
        first = next(iter(shares))
        yield Wrong(at, f"flours come to {sum(shares.values()):g} %, not 100.", f'Write flours = {{ "{first}" = 100 }}')


def _keeping(bread: Bread) -> Iterator[Wrong]:
    if bread.baked_grams and bread.baked_grams > bread.piece_grams:
        wrong = f"a baked piece of {bread.baked_grams} g from {bread.piece_grams} g of dough is heavier than its dough."
        yield Wrong(("baked_grams",), wrong, f"Write baked_grams = {round(bread.piece_grams * 0.87)}")
    if bread.table is None and not bread.forms:
        yield Wrong(
            ("table",),
            "nothing becomes of the pieces: none goes to the table, none is frozen.",
            "Write [forms.part-baked]",
        )
    if bread.kind == "filled" and usual.keeps_hours(bread) > 2:
        wrong = f"filled bread keeps two hours out of the cold, not {bread.keeps_hours:g}."
        yield Wrong(("keeps_hours",), wrong, "Write keeps_hours = 2")
    for index, process in enumerate(bread.processes):
        at: Path = ("processes", index)
        if bread.forms and process.stages[-1].name != "bag":
            wrong = 'loaves are frozen, but no step is called "bag".'
            yield Wrong((*at, "stages"), wrong, 'End with { name = "bag", hands_minutes = 5 }')
        oven = usual.programme(bread, process)
        if oven.covered_minutes + oven.uncovered_minutes == 0:
            yield Wrong(
                (*at, "oven") if process.oven else ("oven",), "bakes for no minute.", "Write uncovered_minutes = 25"
            )
    if sizes := Counter(size for process in bread.processes for size in process.pieces):
        largest = max(sizes) * bread.piece_grams
        if largest > 100_000:
            yield Wrong(
                ("processes",),
                f"a bake of {max(sizes)} pieces is {largest / 1000:g} kg of dough.",
                "Write pieces = [1, 2]",
            )


def _form(bread: Bread, id_: FormId, form: Form) -> Iterator[Wrong]:
    at: Path = ("forms", id_)
    full = usual.kept(bread, bread.processes[0], id_)
    if full.cool_minutes > full.bag_by_minutes:
        wrong = f"is bagged after {full.bag_by_minutes} minutes at the latest, but cool only after {full.cool_minutes}."
        yield Wrong(at, wrong, "Write cool_minutes = 60")
    if bread.kind == "filled" and full.bag_by_minutes > 120:
        yield Wrong((*at, "bag_by_hours"), "filled bread is cold within two hours.", "Write bag_by_hours = 2")
    if form.toast_after_weeks < form.eat_first_weeks:
        wrong = (
            f"is for toast after {form.toast_after_weeks:g} weeks, before it is eaten first ({form.eat_first_weeks:g})."
        )
        yield Wrong((*at, "toast_after_weeks"), wrong, "Write toast_after_weeks = 12")
    if id_ != "sliced" and form.units_per_piece not in (None, 1):
        yield Wrong(
            (*at, "units_per_piece"),
            f"a {id_} piece is one piece; only sliced bread is counted in slices.",
            "Leave it out.",
        )


def _route(bread: Bread, at: Path, route: Route) -> Iterator[Wrong]:
    if route.form not in bread.forms:
        yield Wrong((*at, "form"), f'the bread is not kept "{route.form}".', f"Write [forms.{route.form}] first.")
    if bread.kind == "filled" and route.place == "worktop":
        yield Wrong((*at, "place"), "filled bread thaws in the fridge only.", 'Write place = "fridge"')
    if bread.kind == "filled" and usual.route_keeps_hours(bread, route) > 2:
        yield Wrong((*at, "keeps_hours"), "filled bread keeps two hours out of the cold.", "Write keeps_hours = 2")
    if route.thaw_hours[0] > route.thaw_hours[1]:
        yield Wrong((*at, "thaw_hours"), "its shortest thaw is above its longest.", "Write thaw_hours = [5, 16]")
    if route.place == "none" and route.thaw_hours != (0, 0):
        yield Wrong((*at, "place"), "it thaws, but does not say where.", 'Write place = "worktop"')
    if route.place != "none" and route.thaw_hours[1] == 0:
        yield Wrong((*at, "thaw_hours"), f"it lies in the {route.place} for no minute.", "Write thaw_hours = [5, 16]")
    if (route.gives == "finished") != bool(route.oven):
        wrong = (
            "a finish needs the oven."
            if route.gives == "finished"
            else f"{route.gives} bread is not finished in the oven."
        )
        yield Wrong(
            (*at, "oven"), wrong, "Write oven = [{ degc = 220, minutes = 18 }]" if route.gives == "finished" else ""
        )
    if route.gives == "toast" and route.place != "none":
        yield Wrong((*at, "place"), "toast comes straight from the freezer.", 'Write place = "none"')
    if route.gives == "thawed" and route.place == "none":
        yield Wrong((*at, "place"), "thawed bread thaws somewhere.", 'Write place = "worktop" and thaw_hours = [5, 16]')
    if route.form == "part-baked" and route.gives != "finished":
        yield Wrong(
            (*at, "gives"), "part-baked bread is finished in the oven before it is eaten.", 'Write gives = "finished"'
        )
