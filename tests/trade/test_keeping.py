"""Keeping by freezer temperature, and what to do when it fails: plain and filled apart; nothing is called safe."""

from __future__ import annotations

import re
from itertools import pairwise, product
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotation import keeping
from rotation.household import usual
from rotation.household.breads import Bread
from rotation.keeping import Found, Verdict

SOURCE = Path(keeping.__file__).parent


def bread(kind: str = "plain", **more: Any) -> Bread:
    stages = [{"name": "mix", "hands_minutes": 5, "then_minutes": [60, 90]}, {"name": "oven", "hands_minutes": 3}]
    return Bread.model_validate(
        {"name": "x", "kind": kind, "portions": 10, "piece_grams": 800, "oven": {"degc": 230, "uncovered_minutes": 40},
         "formula": {"flours": {"wheat flour": 100}, "water_percent": 70},
         "processes": [{"id": "day", "pieces": [1], "stages": stages}], "forms": {"sliced": {}}, **more}
    )  # fmt: skip


@given(st.floats(-40, -6))
@settings(max_examples=50, derandomize=True, deadline=None)
def test_warmer_never_keeps_longer(degc: float) -> None:
    assert 0 < keeping.kept_share(degc) <= keeping.kept_share(degc - 1) <= 1
    assert keeping.kept_share(-18) == 1


def test_dates_shrink_together_and_only_filled_bread_has_a_strict_one() -> None:
    plain, filled = bread(), bread("filled")
    cold, warm = (keeping.dates(usual.kept(plain, plain.processes[0], "sliced"), degc) for degc in (-18, -12))
    assert (cold.eat_first_weeks, cold.toast_after_weeks, cold.strict_weeks) == (4, 12, None)
    assert (warm.eat_first_weeks, warm.toast_after_weeks) == (pytest.approx(4 / 3), pytest.approx(4))
    strict = keeping.dates(usual.kept(filled, filled.processes[0], "sliced"), -12).strict_weeks
    assert strict == pytest.approx(4)


@pytest.mark.parametrize(("more", "leaven", "hours"), [
    ({"kind": "filled"}, "yeast", 2),
    ({"piece_grams": 90}, "yeast", 24),
    ({}, "yeast", 48),
    ({}, "starter", 72),
    ({"formula": {"flours": {"wheat flour": 100}, "water_percent": 50, "others": {"butter": 8, "sugar": 4}}},
     "yeast", 72),
    ({"formula": {"flours": {"wholemeal rye flour": 60, "wheat flour": 40}, "water_percent": 78}}, "starter", 120),
    ({"keeps_hours": 30}, "starter", 30),
])  # fmt: skip
def test_the_bread_box_by_make_up(more: dict[str, Any], leaven: str, hours: float) -> None:
    made = bread(**more)
    process = made.processes[0].model_copy(update={"leaven": leaven})
    assert usual.keeps_hours(made.model_copy(update={"processes": (process,)})) == hours


@pytest.mark.parametrize(("kind", "found", "hours", "verdict"), [
    ("plain", Found.HARD, None, Verdict.KEEP),
    ("plain", Found.ICY, None, Verdict.REFREEZE),
    ("plain", Found.COLD, None, Verdict.REFREEZE),
    ("plain", Found.WARM, 20.0, Verdict.REFREEZE),
    ("filled", Found.HARD, None, Verdict.KEEP),
    ("filled", Found.ICY, None, Verdict.REFREEZE),
    ("filled", Found.COLD, 1.0, Verdict.EAT_SOON),
    ("filled", Found.COLD, 3.0, Verdict.DISCARD),
    ("filled", Found.COLD, None, Verdict.DISCARD),
    ("filled", Found.WARM, 0.5, Verdict.DISCARD),
])  # fmt: skip
def test_after_a_warming(kind: str, found: Found, hours: float | None, verdict: Verdict) -> None:
    assert keeping.after_warming(bread(kind), found, hours).verdict is verdict


def test_filled_bread_is_never_judged_milder_than_plain() -> None:
    order = [Verdict.KEEP, Verdict.REFREEZE, Verdict.EAT_SOON, Verdict.DISCARD]
    for found, hours in product(Found, (None, 0.5, 3.0)):
        plain, filled = (keeping.after_warming(bread(kind), found, hours).verdict for kind in ("plain", "filled"))
        assert order.index(filled) >= order.index(plain)


def test_a_cut_that_was_short_enough_is_only_looked_at() -> None:
    assert keeping.after_outage(bread(), 47, 1.0).verdict is Verdict.KEEP
    assert keeping.after_outage(bread("filled"), 25, 0.5).verdict is Verdict.DISCARD
    assert keeping.after_outage(bread(), 25, 0.5).verdict is Verdict.REFREEZE
    hours = [keeping.holds_cold_hours(share / 20) for share in range(21)]
    assert hours[0] == 0
    assert all(less <= more for less, more in pairwise(hours))


def test_filled_advice_points_to_the_rules() -> None:
    for found in (Found.ICY, Found.COLD, Found.WARM):
        assert keeping.RULES in keeping.after_warming(bread("filled"), found, 1.0).words
    assert keeping.RULES in keeping.refreezing(bread("filled"), "fridge").words
    assert keeping.refreezing(bread("filled"), "worktop").verdict is Verdict.DISCARD


def test_nothing_the_program_says_calls_bread_safe() -> None:
    """Words in quotes of all modules that speak to people; comments and docstrings may say that nothing is."""
    for path in [SOURCE / "keeping.py", SOURCE / "instructions.py", *(SOURCE / "show").glob("*.py")]:
        text = re.sub(r'""".*?"""', "", path.read_text(encoding="utf-8"), flags=re.DOTALL)
        said = " ".join(re.findall(r'"([^"\n]*)"', text)).casefold()
        assert not re.search(r"\bsafe\b|free from|harmless", said), path
