"""What stands on a label is what the household says of the bread, and the ledger of the bag."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from rotation.bench import Contents, Way, contents_of, ways_of
from rotation.household.reading import Home
from rotation.keeping import FILLED
from rotation.ledger import Lot
from rotation.show.labels import UNKNOWN, Label, code, label

BAGGED = datetime(2027, 3, 6, 14, tzinfo=UTC)
WORKTOP = Way("worktop", "part-baked", "finished", "worktop", (305, 960), ((220, 18),), 15, 338, 2160)
FROZEN = Way("frozen", "part-baked", "finished", "", (0, 0), ((150, 30), (230, 20)), 30, 80, 2160)
TOAST = Way("toast", "sliced", "toast", "", (0, 0), (), 0, 0, 0)
THAWED = Way("thaw", "baked", "thawed", "fridge", (600, 1800), (), 0, 600, 720)
HOLDS = Contents(("gluten", "rye", "wheat"), ("wheat",), (), (("Seeded rolls", ("milk", "sesame")),))


def lot(form: str = "part-baked", bread: str = "country", strict: datetime | None = None) -> Lot:
    return Lot(id="country 6 Mar/1", letter="B", bread=bread, form=form, bagged=BAGGED,
               through=BAGGED, eat_first=datetime(2027, 4, 3, 22, tzinfo=UTC),
               toast_after=datetime(2027, 5, 29, 22, tzinfo=UTC), strict_until=strict)  # fmt: skip


def told(home: Home, of: Lot | None = None, units: int = 2, *, planned: bool = False, holds: Contents = HOLDS) -> Label:
    return label(home, of or lot(), units, (WORKTOP, FROZEN, TOAST, THAWED), holds, planned=planned)


def test_a_part_baked_loaf(house: Home) -> None:
    assert told(house) == Label(
        letter="B",
        bread="Country loaf",
        amount="2 loaves, part-baked",
        frozen="Frozen Sat 6 Mar 2027",
        dates="Eat first from 4 Apr. For toast from 30 May.",
        ways=(
            "Worktop 5 h 5 min to 16 h, 18 min at 220, stand 15 min.",
            "Frozen: 30 min at 150, 20 min at 230, stand 30 min.",
        ),
        contains="gluten, rye and wheat",
        beside="Same kitchen: milk and sesame.",
        warning="",
        caution="Golden, not dark. Mould? The whole loaf goes, unsniffed.",
        code="country 6 Mar/1",
    )


def test_other_forms(house: Home) -> None:
    slices = told(house, lot("sliced", "tin"), 16)
    assert (slices.amount, slices.ways) == ("16 slices", ("Frozen: toaster or lunchbox.",))
    whole = told(house, lot("baked"), 1)
    assert (whole.amount, whole.ways) == ("1 loaf, baked whole", ("Fridge 10 h to 30 h, eat.",))
    thawing = told(house, lot("part-baked, thawing, 3"), 1)
    assert thawing.amount == "1 loaf, part-baked"


def test_filled_bread_has_a_strict_date_and_its_caution(house: Home) -> None:
    filled = house.breads["country"].model_copy(update={"kind": "filled"})
    home = replace(house, breads={**house.breads, "country": filled})
    said = told(home, lot(strict=datetime(2027, 5, 1, 22, tzinfo=UTC)))
    assert (said.dates, said.warning) == ("Eat first from 4 Apr. Not after 1 May.", FILLED)


def test_a_date_of_another_year_says_so(house: Home) -> None:
    old = replace(lot(), bagged=datetime(2026, 12, 20, tzinfo=UTC))
    assert told(house, old).dates == "Eat first from 4 Apr 2027. For toast from 30 May 2027."


def test_what_nobody_looked_up_is_said(house: Home) -> None:
    said = told(house, holds=replace(HOLDS, unknown=("aunt's mix",)))
    assert said.warning == f"aunt's mix: {UNKNOWN[0].lower()}{UNKNOWN[1:]}"
    gone = label(house, lot(bread="gone"), 1, (), None, planned=False)
    assert (gone.bread, gone.ways, gone.warning) == ("gone", ("The household has this bread no more.",), UNKNOWN)


def test_ovens_with_a_fan_and_in_degf(house: Home) -> None:
    oven = house.settings.ovens[0].model_copy(update={"fan": True})
    shown = house.settings.shown.model_copy(update={"temperature": "degF"})
    home = replace(house, settings=house.settings.model_copy(update={"ovens": (oven,), "shown": shown}))
    assert "18 min at 425 degF (fan 400)" in told(home).ways[0]


def test_a_code_leads_to_the_bag(house: Home) -> None:
    assert code("http://kitchen.example:8377/", "a b/1") == "http://kitchen.example:8377/freezer/bag/a%20b%2F1"
    assert code("", "a b/1") == "a b/1"
    assert told(house, planned=True).code == ""
    assert told(house, planned=True).frozen == "To be frozen Sat 6 Mar 2027"
    without = house.settings.labels.model_copy(update={"code": False})
    home = replace(house, settings=house.settings.model_copy(update={"labels": without}))
    assert told(home).code == ""


@pytest.mark.parametrize("bread", ["tin", pytest.param("country", marks=pytest.mark.long)])
def test_ways_and_contents_are_those_of_the_bench_notes(house: Home, bread: str) -> None:
    now = BAGGED + timedelta(days=1)
    ways = ways_of(house, bread, now)
    assert {way.form for way in ways} == set(house.breads[bread].forms)
    assert "wheat" in contents_of(house, bread, house.breads[bread]).found
