"""What is printed of rarer bakes: filled bread, a hot kitchen, an unknown ingredient, a bread never frozen."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from rotation.bench import bench
from rotation.household import Bread
from rotation.household.reading import Home, read_home
from rotation.show.bench_notes import bench_json, lines
from rotation.units import Display

HOME = read_home(Path(__file__).parents[2] / "examples" / "school-week")
AT = datetime(2027, 7, 3, 8, tzinfo=HOME.zone)


def said(bread: Bread, kitchen: dict[str, Any] | None = None, display: Display | None = None) -> str:
    settings = HOME.settings.model_copy(update={"kitchen": HOME.settings.kitchen.model_copy(update=kitchen or {})})
    home: Home = replace(HOME, settings=settings, breads={**HOME.breads, "tin": bread})
    printed: Iterator[str] = lines(bench(home, "tin", None, None, AT, AT), display or Display(), 100)
    return " ".join(" ".join(printed).split())


def tin(**more: Any) -> Bread:
    return Bread.model_validate(HOME.breads["tin"].model_dump(mode="json", exclude_defaults=True) | more)


def test_filled_bread_is_cold_in_time_and_strict() -> None:
    forms = {"sliced": {"bag_by_hours": 2, "cool_minutes": 100}}
    text = said(tin(kind="filled", forms=forms))
    for words in (
        "Filled: cold within two hours; follow your local food-safety rules.",
        "Filled: thaw in the fridge only, at 5 degC or below",
        "eat first from 31 Jul, not after 25 Sep.",
        "Milk tin loaf is filled and wants a fridge at 5 degC or below; yours is at 6",
        "In the bread box 2 h.",
    ):
        assert words in text, words
    assert "toast or crumbs" not in text
    assert "Filled: cold within one hour" in said(tin(kind="filled", forms=forms), {"room_degc": 33.0})


def test_ice_where_the_tap_is_too_warm_and_what_cannot_be_had() -> None:
    processes = [each.model_dump(mode="json", exclude_defaults=True) for each in HOME.breads["tin"].processes]
    cool = tin(processes=[processes[0] | {"dough_degc": 22}])
    text = said(cool, {"room_degc": 31.0, "friction_degc": 14.0, "tap_degc": 20.0})
    assert "Water from the tap, 30 % of it as ice, for a dough of 22 degC." in text
    warm = tin(processes=[processes[0] | {"dough_degc": 34}])
    assert "Water 45 degC for a dough of 29 degC. 34 degC cannot be had: allow for it." in said(
        warm, {"room_degc": 19.0}
    )


def test_an_ingredient_nobody_looked_up() -> None:
    formula = HOME.breads["tin"].formula.model_dump(exclude_defaults=True)
    odd = tin(formula=formula | {"others": {"salt": 2, "grandmother's mix": 3}})
    assert "Not looked up: grandmother's mix. Serve it to nobody with an allergy." in said(odd)
    plain = tin(formula={"flours": {"rice flour": 100}, "water_percent": 80})
    assert "Nothing of the list of the European Union that its ingredients' names tell of." in said(plain)


def test_a_bread_that_is_not_frozen_has_no_way_back() -> None:
    stages = [{"name": "mix", "hands_minutes": 5, "then_minutes": [60, 60]}, {"name": "oven", "hands_minutes": 3}]
    fresh = tin(forms={}, processes=[{"id": "day", "pieces": [1], "stages": stages}])
    text = said(fresh)
    assert "FROM THE FREEZER" not in text
    assert "OVEN ON" in text


def test_no_sign_of_a_name_steers_the_screen() -> None:
    """Files cannot hold such signs; what reaches the printer is cleaned all the same."""
    notes = replace(bench(HOME, "tin", None, None, AT, AT), bread="x\x1b[2J", process="y\x07")
    assert not {"\x1b", "\x07"} & set("".join(lines(notes, Display(), 80)))
    assert "\x1b" not in bench_json(notes)["bread"]


@pytest.mark.parametrize("width", [60, 80, 110])
def test_lines_keep_to_the_screen(width: int) -> None:
    for bread in HOME.breads:
        assert max(map(len, lines(bench(HOME, bread, None, None, AT, AT), Display("lb", "degF"), width))) <= width
