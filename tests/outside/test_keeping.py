"""Keeping and cautions against figures of others; ids name rows of `data/references.csv`, where the sources stand."""

from __future__ import annotations

from datetime import datetime
from functools import cache
from pathlib import Path

import pytest

from rotation import keeping
from rotation.bench import bench
from rotation.household import usual
from rotation.household.kitchen import Kitchen, Oven
from rotation.household.reading import read_home
from rotation.keeping import Found, Verdict
from rotation.show.bench_notes import lines
from rotation.units import Display
from tests.outside.rows import ROWS, figures, high, low, value
from tests.trade.test_keeping import bread

WEEKS_A_MONTH = 365.25 / 12 / 7
EXAMPLES = Path(__file__).parents[2] / "examples"


def dates(kind: str, form: str, degc: float) -> keeping.Dates:
    made = bread(kind, forms={form: {}})
    return keeping.dates(usual.kept(made, made.processes[0], form), degc)  # type: ignore[arg-type]  # a form's id


@cache
def notes(example: str, name: str) -> str:
    """Return the bench notes of an example's bread, in one line."""
    home = read_home(EXAMPLES / example)
    at = datetime(2027, 3, 6, 8, tzinfo=home.zone)
    with pytest.MonkeyPatch.context() as without:  # the model of heat has checks of its own
        without.setattr("rotation.bench.making.with_waits", lambda home, *_: (home, ()))
        said = lines(bench(home, name, None, None, at, at), Display(), 200)
    return " ".join(" ".join(said).split())


def test_the_fridge_stales_bread() -> None:
    """D02: a handbook of cooking science, read: a day at 7 degC stales as six at 30; so bench notes say so."""
    assert value("D02") > 1
    assert "in the fridge it stales faster" in notes("school-week", "country")


def test_frozen_rolls_firm_rapidly_at_minus_twelve() -> None:
    """D04: Kulp and Bechtel 1960, read: two months at -18 without loss; rapid firming at -12 or warmer."""
    two_months = value("D04") * WEEKS_A_MONTH
    assert dates("plain", "part-baked", -18).eat_first_weeks < two_months
    assert dates("plain", "part-baked", -12).toast_after_weeks < two_months / 2


def test_minus_eighteen_for_long_minus_twelve_for_a_short_time() -> None:
    """D05: Pence and others 1955, read: 10 degF for the short term, 0 degF for the long one."""
    assert keeping.kept_share(low("D05")) < 0.5 < keeping.kept_share(high("D05")) == 1
    assert keeping.kept_share(-30) == 1  # colder gives no more than was found


@pytest.mark.parametrize("row", ["D06", "D07"])
def test_no_longer_than_the_food_keepers_say(row: str) -> None:
    """D06, D07: USDA FSIS FoodKeeper and its older table, read: three months for bread in the freezer."""
    months = low(row) if ROWS[row]["low"] else high(row)
    for form in ("part-baked", "baked", "sliced"):
        assert dates("plain", form, -18).toast_after_weeks <= months * WEEKS_A_MONTH


def test_part_baked_bread_is_eaten_first_after_four_weeks() -> None:
    """D09: a compendium of baking, read: four weeks for an artisan bakery."""
    assert dates("plain", "part-baked", -18).eat_first_weeks == value("D09")


def test_dates_of_plain_bread_are_about_quality() -> None:
    """D12: USDA FSIS, read: time limits of frozen food are about quality; so plain bread has no strict date."""
    assert "quality only" in ROWS["D12"]["fact"]
    assert dates("plain", "sliced", -18).strict_weeks is None
    assert dates("filled", "sliced", -18).strict_weeks is not None
    assert "quality only" in notes("school-week", "country")


def test_the_freezer_is_at_minus_eighteen() -> None:
    """D13, F02: Directive 89/108/EEC; Reg. (EU) 2019/2016 table 3, read; two stars are -12: not for months."""
    assert Kitchen().freezer_degc == value("D13") == low("F02")
    assert "two-star" not in ROWS["F02"]["fact"]
    assert "2-star -12: not for storing months" in ROWS["F02"]["note"]
    assert dates("plain", "sliced", -12).toast_after_weeks < 1.5 * WEEKS_A_MONTH


@pytest.mark.parametrize(("share", "hours"), [(1.0, high("D14")), (0.5, low("D14")), (0.9, low("D14"))])
def test_a_shut_freezer_holds_its_cold(share: float, hours: float) -> None:
    """D14: USDA FSIS and FDA, read: 48 h full, 24 h half full; between them the smaller figure."""
    assert keeping.holds_cold_hours(share) == hours
    assert keeping.after_outage(bread("filled"), hours, share).verdict is Verdict.KEEP
    assert keeping.after_outage(bread("filled"), hours + 1, share).verdict is Verdict.DISCARD


def test_a_shut_fridge_holds_four_hours() -> None:
    """D14: the same, read."""
    assert figures("D14", "note") == [keeping.FRIDGE_HOURS]


@pytest.mark.parametrize("found", [Found.ICY, Found.COLD, Found.WARM])
def test_plain_bread_is_refrozen_in_both_states(found: Found) -> None:
    """D15: FoodSafety.gov chart, read: bread without custard: refreeze, icy or thawed."""
    assert "refreeze in BOTH states" in ROWS["D15"]["note"]
    assert keeping.after_warming(bread(), found).verdict is Verdict.REFREEZE


def test_filled_bread_is_binned_after_two_hours() -> None:
    """D15: the same, read: custard or cheese filling above 40 degF for two hours: discard."""
    assert "discard if >40 F 2 h" in ROWS["D15"]["note"]
    assert keeping.after_warming(bread("filled"), Found.COLD, 2.1).verdict is Verdict.DISCARD
    assert keeping.after_warming(bread("filled"), Found.COLD, 1.9).verdict is not Verdict.DISCARD


def test_filled_bread_thaws_in_the_fridge() -> None:
    """D16: FDA Food Code 3-501.13, read: at 5 degC or below."""
    assert value("D16") == keeping.THAW_DEGC
    ways = {route.place for route in usual.routes(bread("filled", forms={"part-baked": {}, "baked": {}}))}
    assert ways == {"fridge"}
    assert "fridge only, at 5 degC or below" in keeping.cautions(bread("filled"), False, 21)["thaw"]


@pytest.mark.parametrize(("room", "hours"), [(21.0, high("D17")), (32.0, high("D17")), (33.0, low("D17"))])
def test_filled_bread_is_cold_within_two_hours(room: float, hours: float) -> None:
    """D17: USDA FSIS, read: two hours, one above 32 degC."""
    assert keeping.cold_within_minutes(room) == 60 * hours
    words = "one hour" if hours == 1 else "two hours"
    assert f"cold within {words}; follow your local" in keeping.cautions(bread("filled"), False, room)["cool"]


def test_what_thawed_in_the_fridge_may_be_frozen_again() -> None:
    """D18: FSIS; FMI, read."""
    assert keeping.refreezing(bread("filled"), "fridge").verdict is Verdict.REFREEZE
    assert keeping.refreezing(bread(), "worktop").verdict is Verdict.REFREEZE


def test_bread_of_yeast_goes_before_rope_can() -> None:
    """D19: Vaiciulyte-Funk and others 2015, read: bread without sourdough's acid roped at 72 h in the warm."""
    assert max(usual.KEEPS_HOURS[kind] for kind in ("roll", "lean", "enriched")) <= value("D19")


@pytest.mark.parametrize(("kind", "place"), [("roll", 0), ("sourdough", 1), ("enriched", 2), ("rye", 3)])
def test_the_bread_box(kind: usual.MakeUp, place: int) -> None:
    """D20: common practice, no published source: days of a lean stick, lean sourdough, enriched bread, rye."""
    fewest, _, most = ROWS["D20"]["note"].split(" / ")[place].partition("-")
    assert int(fewest) <= usual.KEEPS_HOURS[kind] / 24 <= int(most or fewest)


def test_bread_finished_from_frozen_keeps_half_as_long() -> None:
    """D20 is of fresh bread; that finished bread stales faster is common practice, no published source."""
    made = bread(forms={"part-baked": {}})
    for route in usual.routes(made):
        assert usual.route_keeps_hours(made, route) == usual.keeps_hours(made) / 2


@pytest.mark.parametrize(("row", "words"), [
    ("G02", "Raw dough and flour are not for tasting"),
    ("G03", "Mould? The whole loaf goes, unsniffed"),
    ("G04", "Golden, not dark"),
    ("G06", "Hot iron: dry mitts"),
    ("G07", "Steam: stand aside when lid or door opens; no water on hot glass"),
])  # fmt: skip
def test_cautions_stand_in_the_bench_notes(row: str, words: str) -> None:
    """G02 FDA and CDC, G03 USDA FSIS, G04 Reg. (EU) 2017/2158, read; G06 computed; G07 common practice."""
    assert row in ROWS
    assert words in notes("school-week", "country")


def test_a_fridge_is_cold_at_four() -> None:
    """G05: FSIS and FDA, read: 40 degF; a fridge at that may hold dough two days."""
    from rotation.fermentation import longest_retard

    assert longest_retard(value("G05")) > longest_retard(value("G05") + 0.5)


def test_an_adult_stays_until_iron_is_cool() -> None:
    """G06, computed by a lumped estimate: 15 to 45 minutes to 60 degC; a margin on it."""
    assert Oven().watch_vessel_minutes > high("G06")


def test_nobody_needs_to_guess_what_a_filled_bread_wants() -> None:
    """D16, D17: the two cautions of filled bread stand in one line each, and point to local rules."""
    said = keeping.cautions(bread("filled"), False, 21)
    assert all(keeping.RULES in said[act] for act in ("cool", "thaw", "keep"))
    assert all("\n" not in each for each in said.values())
