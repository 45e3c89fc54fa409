"""What makes no sense in a bread, though every single setting may stand: formula, forms, routes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from rotation.household import usual
from rotation.household.breads import Bread, Form, FormId, Route
from rotation.household.formula_sense import formula_wrong
from rotation.household.heat_sense import loaf_wrong
from rotation.household.lines import Path
from rotation.household.mistakes import Wrong, closest, repeated
from rotation.household.process_sense import process_wrong
from rotation.household.processes import OvenProgramme, Process
from rotation.household.shapes import shaped, shapes


def bread_wrong(bread: Bread) -> Iterator[Wrong]:
    """Yield what makes no sense in a bread."""
    yield from formula_wrong(("formula",), bread.formula)
    yield from _keeping(bread)
    yield from loaf_wrong(bread)
    for id_, form in bread.forms.items():
        yield from _form(bread, id_, form, ("forms", id_))
    yield from repeated((("processes", i, "id"), p.id) for i, p in enumerate(bread.processes))
    yield from repeated((("routes", i, "id"), route.id) for i, route in enumerate(bread.routes))
    for index, process in enumerate(bread.processes):
        yield from process_wrong(("processes", index), process)
        yield from _own_formula(bread, ("processes", index), process)
    for index, route in enumerate(bread.routes):
        yield from _route(bread, ("routes", index), route)
    yield from _shapes(bread)
    known = ingredients(bread)
    for name in bread.contains:
        if name.casefold() not in {one.casefold() for one in known}:
            yield Wrong(("contains", name), "is not in the formula.", closest(name, known))


def _shapes(bread: Bread) -> Iterator[Wrong]:
    """Yield what makes no sense in a shape that late dough is to take: its oven, how it is kept, its ways back."""
    for shape in (shape for shape in shapes(bread) if shape in bread.becomes.model_fields_set):
        at: Path = ("becomes", shape)
        as_bread = shaped(bread, shape)
        yield from _oven((*at, "oven"), as_bread.oven)
        for id_, form in as_bread.forms.items():
            yield from _form(as_bread, id_, form, (*at, "forms", id_))
        for index, route in enumerate(as_bread.routes):
            yield from _route(as_bread, (*at, "routes", index), route)


def ingredients(bread: Bread) -> tuple[str, ...]:
    """Return every ingredient of a bread once, in the order of its formulas."""
    return tuple(dict.fromkeys(name for formula in usual.formulas(bread) for name in formula.ingredients))


def _own_formula(bread: Bread, at: Path, process: Process) -> Iterator[Wrong]:
    """Yield what is wrong with a process's own formula, and with the step at which nuts and fruit go in."""
    if process.formula is not None:
        yield from formula_wrong((*at, "formula"), process.formula)
    formula, names = usual.formula(bread, process), [stage.name for stage in process.stages]
    made = names[names.index("mix") : names.index("oven")] if {"mix", "oven"} <= {*names} else names
    if formula.inclusions and formula.inclusions_at not in made:
        where: Path = (*at, "formula") if process.formula else ("formula",)
        wrong = f'{process.called} has no step "{formula.inclusions_at}" from the mix to the oven.'
        yield Wrong((*where, "inclusions_at"), wrong, closest(formula.inclusions_at, made))


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
    yield from _oven(("oven",), bread.oven)
    for index, process in enumerate(bread.processes):
        at: Path = ("processes", index)
        if bread.forms and process.stages[-1].name != "bag":
            wrong = 'loaves are frozen, but no step is called "bag".'
            yield Wrong((*at, "stages"), wrong, 'End with { name = "bag", hands_minutes = 5 }')
        if process.oven:
            yield from _oven((*at, "oven"), process.oven)
    if sizes := Counter(size for process in bread.processes for size in process.pieces):
        largest = max(sizes) * bread.piece_grams
        if largest > 100_000:
            yield Wrong(
                ("processes",),
                f"a bake of {max(sizes)} pieces is {largest / 1000:g} kg of dough.",
                "Write pieces = [1, 2]",
            )


def _oven(at: Path, oven: OvenProgramme) -> Iterator[Wrong]:
    """Yield what is wrong with how a bread is baked: no minute of it, temperatures that do not follow each other."""
    minutes = oven.covered_minutes + oven.uncovered_minutes
    if minutes == 0:
        yield Wrong(at, "bakes for no minute.", "Write uncovered_minutes = 25")
    after, degc = 0, oven.degc
    for index, turn in enumerate(oven.then if minutes else ()):
        if not after < turn.after_minutes < minutes:
            wrong = f"{turn.after_minutes} minutes are not after {after} and before {minutes}, when the bread is out."
            yield Wrong((*at, "then", index, "after_minutes"), wrong, "Count from when the bread goes in, in order.")
        if turn.degc == degc:
            yield Wrong((*at, "then", index, "degc"), f"it is {degc} by then.", "Leave the line out.")
        after, degc = turn.after_minutes, turn.degc


def _form(bread: Bread, id_: FormId, form: Form, at: Path) -> Iterator[Wrong]:
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
