"""Heat in bread: ranges and their order, what places and ovens do, what measuring does, what is refused and kept."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from functools import cache as remembered
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from rotation.heat import cache
from rotation.heat.answering import answer
from rotation.heat.asked import Answer, BakePart, Measured, PartBake, Question, Surroundings, Way, rounded_up
from rotation.heat.cases import BEST, COARSE, Case, Figures, cooled, frozen, ranged, thawed, through, until
from rotation.heat.crumb import Crumb
from rotation.heat.shape import Loaf, Shape
from rotation.heat.soft import CRUMB, SURFACE, OutsideModel, Range, Where
from rotation.heat.waits import COOLING, FREEZING, THAWING

WORKTOP = Way("worktop", "worktop", ((220, 18),), 15)
LOAF = Question(Loaf("batard", 620), ways=(WORKTOP,))


@remembered
def said(question: Question = LOAF) -> Answer:
    return answer(question)


def ranges(answered: Answer) -> Iterator[Range]:
    yield from (answered.cool, answered.freeze)
    for way in answered.ways:
        yield from (each for each in (way.thaw, way.core, way.eaten) if each)


def test_an_estimate_lies_in_its_range() -> None:
    for found in ranges(said()):
        assert found.low < found.best < found.high


def test_the_planner_gets_the_late_end_to_five_minutes() -> None:
    assert [rounded_up(minutes) for minutes in (0.2, 5.4, 60, 61)] == [0, 5, 60, 65]


def minutes(loaf: Loaf, figures: Figures = BEST) -> list[float]:
    """Return how long a loaf cools, freezes, thaws on the worktop and in the fridge."""
    return [
        until(course, "test")
        for course in (
            cooled(loaf, 21, 35, figures, COARSE),
            frozen(loaf, 30, -18, -15, figures, COARSE),
            thawed(loaf, -18, "worktop", 21, 15, figures, COARSE),
            thawed(loaf, -18, "fridge", 6, 0, figures, COARSE),
        )
    ]


@settings(derandomize=True, deadline=None, max_examples=12)
@given(some.sampled_from(["round", "batard", "long", "roll", "tin"]), some.floats(60, 1500), some.floats(1.1, 2.0))
def test_a_heavier_loaf_of_one_shape_takes_longer(shape: Shape, grams: float, times: float) -> None:
    light, heavy = minutes(Loaf(shape, grams)), minutes(Loaf(shape, grams * times))
    assert all(more > less for less, more in zip(light, heavy, strict=True))


def test_better_contact_and_better_crumb_are_quicker() -> None:
    slow = minutes(Loaf("batard", 620), Figures({"k_above": 0.18, "k_below": 0.25}))
    quick = minutes(Loaf("batard", 620), Figures({"k_above": 0.27, "k_below": 0.45}))
    assert all(less < more for less, more in zip(quick, slow, strict=True))
    for figures in (CRUMB, SURFACE):
        assert all(soft.low < soft.best < soft.high for soft in figures.values())


def test_a_fan_is_quicker_at_its_lower_setting_and_a_cover_slower() -> None:
    """A bare rack in still air lies between; the same crust temperature is meant by each dial."""
    loaf, cores = Loaf("batard", 500), {}
    for name, stay in (
        ("bare", BEST.air("oven", 220, 20)),
        ("fan", BEST.air("fan oven", 200, 20)),
        ("pot", BEST.air("covered", 220, 20)),
    ):
        cores[name] = through(loaf, 5.0, [stay], BEST, COARSE).core
    assert cores["pot"] < cores["bare"] < cores["fan"]


def test_a_fan_counts_in_every_oven_part() -> None:
    part = PartBake((BakePart(220, 200),), 24.0)
    still, fan = (
        said(replace(LOAF, ways=(), part_bake=part, around=Surroundings(fan_lower=lower))).part_bake
        for lower in (None, 20.0)
    )
    assert still is not None
    assert fan is not None
    assert fan.best < still.best


@pytest.mark.parametrize(("crumb", "case", "where"), [
    (COOLING, lambda f, n: (until(cooled(LOAF.loaf, 21, 35, f, n), ""),), "rack"),
    (FREEZING, lambda f, n: (until(frozen(LOAF.loaf, 30, -18, -15, f, n), ""),), "freezer"),
    (THAWING, lambda f, n: (until(thawed(LOAF.loaf, -18, "fridge", 6, 0, f, n), ""),), "fridge"),
], ids=["cool", "freeze", "thaw"])  # fmt: skip
def test_the_figures_left_alone_in_a_case_hardly_matter(crumb: tuple[str, ...], case: Case, where: Where) -> None:
    (some_,), (all_,) = (ranged(case, names, [where], LOAF.loaf) for names in (crumb, tuple(CRUMB)))
    assert (some_.low, some_.high) == pytest.approx((all_.low, all_.high), abs=all_.best / 40)


def test_rolls_touch_in_their_bag() -> None:
    assert Loaf("roll", 74).bare < Loaf("batard", 620).bare == 1


def test_standing_evens_out_the_core() -> None:
    (way,) = said().ways
    assert way.core is not None
    assert way.eaten is not None
    assert way.eaten.best > way.core.best + 10


def test_a_small_roll_that_cools_while_it_stands_is_baked_no_longer() -> None:
    """More heat would dry it: it was warm from the oven."""
    gentle = Way("frozen", "none", ((150, 30), (230, 20)), 60, open=True)
    (way,) = said(Question(Loaf("roll", 40), Surroundings(room_low=12.0), (gentle,))).ways
    assert way.oven == ((150, 10), (230, 20))
    assert way.eaten is not None
    assert way.eaten.low < 35


def test_what_is_eaten_as_it_thaws() -> None:
    """Written hours: the core at their end; none written: the hours until it is near its surroundings."""
    open_, written = Way("a", "fridge"), Way("b", "fridge", thaw=300)
    one, other = said(replace(LOAF, ways=(open_, written))).ways
    assert (one.core, other.thaw) == (None, None)
    assert one.thaw is not None
    assert other.core is not None
    assert other.core.best < 6 - 3 < 6
    assert one.thaw.best > 300


def measured(**more: object) -> Measured:
    given = {"what": "thaw", "core_degc": 15.0, "degc": 21.0, "where": "worktop"} | more
    return Measured(**given)  # type: ignore[arg-type]  # named by the test


def test_one_measured_thaw_corrects_all_that_happens_in_air() -> None:
    plain = said()
    (way,) = plain.ways
    assert way.thaw is not None
    slow = said(replace(LOAF, measured=(measured(minutes=1.3 * way.thaw.best),)))
    assert slow.pace_air == pytest.approx(1.3, rel=0.02)
    assert slow.pace_oven == 1
    for before, after in ((plain.cool, slow.cool), (plain.freeze, slow.freeze)):
        assert after.best == pytest.approx(1.3 * before.best, rel=0.02)
        assert (after.high - after.low) / after.best < 0.6 * (before.high - before.low) / before.best


def test_one_measured_finish_corrects_the_oven() -> None:
    (way,) = said().ways
    assert way.core is not None
    cold = said(replace(LOAF, measured=(measured(what="finish", way="worktop", core_degc=way.core.low),)))
    assert cold.pace_oven > 1.05
    assert cold.pace_air == 1
    (found,) = cold.ways
    assert found.core is not None
    assert found.core.best == pytest.approx(way.core.low, abs=2.0)


@pytest.mark.parametrize("wrong", [
    measured(minutes=20.0), measured(minutes=3000.0), measured(minutes=300.0, core_degc=30.0),
    measured(what="finish", way="worktop", core_degc=-15.0), measured(what="finish", way="nowhere", core_degc=40.0),
    measured(what="freeze", minutes=60.0, degc=-18.0, core_degc=-17.0),
])  # fmt: skip
def test_what_cannot_have_been_measured_is_doubted(wrong: Measured) -> None:
    found = said(replace(LOAF, ways=(WORKTOP,) if wrong.what == "finish" else (), measured=(wrong,)))
    assert (found.pace_air, found.pace_oven) == (1, 1)
    assert "not counted" in found.doubts[0]


@pytest.mark.parametrize(("loaf", "words"), [
    (Loaf("batard", -5), "has no mass"),
    (Loaf("batard", 12_000), "12000 g is outside"),
    (Loaf("roll", 5), "5 g is outside"),
    (Loaf("tin", 800, sides_cm=(60.0, 40.0, 30.0)), "11 kg/m3"),
    (Loaf("tin", 800, sides_cm=(0.0, 4.0, 3.0)), "above 0 cm"),
    (Loaf("round", 800, density=950), "950 kg/m3"),
    (Loaf("round", 800, water=0.7), "70 % water"),
])  # fmt: skip
def test_loaves_beyond_the_model_are_refused_in_words(loaf: Loaf, words: str) -> None:
    with pytest.raises(OutsideModel, match=words):
        answer(Question(loaf))


def test_a_core_that_never_gets_there_is_said() -> None:
    loaf = Loaf("batard", 620)
    with pytest.raises(OutsideModel, match="does not get there in four days: thawing"):
        until(thawed(loaf, -18, "fridge", 2, 5, BEST, COARSE), "thawing")


def test_no_table_of_a_crumb_runs_backwards() -> None:
    for name in ("water", "bound", "freezing_degc", "k_above", "k_below"):
        for end in (CRUMB[name].low, CRUMB[name].high):
            tables = Crumb(**{name: 0.43 + end if name == "water" else end}).tables
            assert (np.diff(tables.enthalpy) > 0).all()
            assert (np.diff(tables.degc) >= 0).all()
            assert (np.diff(tables.integral) >= 0).all()


# ----------------------------------------------------------------------------------------------------- what is kept

MADE_UP = Answer(Range(1, 2, 3), Range(4, 5, 6), 170.0, 60, (), None)


def test_an_answer_is_asked_for_once(tmp_path: Path) -> None:
    asked: list[Question] = []

    def ask(question: Question) -> Answer:
        asked.append(question)
        return MADE_UP

    twice = {"a": LOAF, "b": LOAF, "c": replace(LOAF, around=Surroundings(fridge=4.0))}
    first = cache.answers(twice, tmp_path / "state", ask)
    again = cache.answers(twice, tmp_path / "state", ask)
    assert first == again == dict.fromkeys("abc", MADE_UP)
    assert len(asked) == 2
    assert [path.name for path in (tmp_path / "state").iterdir()] == [cache.FILE], "no half file is left"


def test_real_answers_come_back_as_they_were(tmp_path: Path) -> None:
    whole = replace(LOAF, part_bake=PartBake((BakePart(230, 20, True), BakePart(220, 200)), 10.0))
    assert cache.answers({"a": whole}, tmp_path)["a"] == cache.answers({"a": whole}, tmp_path, lambda _: MADE_UP)["a"]


def test_whatever_an_answer_depends_on_is_in_its_name() -> None:
    others = [
        replace(LOAF, loaf=replace(LOAF.loaf, grams=621)), replace(LOAF, around=Surroundings(freezer=-20.0)),
        replace(LOAF, ways=()), replace(LOAF, measured=(measured(minutes=300.0),)),
    ]  # fmt: skip
    assert len({cache.digest(each) for each in (LOAF, *others)}) == 5
    assert cache.digest(LOAF) == cache.digest(replace(LOAF, loaf=Loaf("batard", 620)))


@pytest.mark.parametrize("text", [
    "", "{", "[]", "null", '{"version": 0, "answers": {}}', f'{{"version": {cache.VERSION}, "answers": {{"x": 1}}}}',
    "\udcff",
])  # fmt: skip
def test_a_broken_file_is_asked_anew(tmp_path: Path, text: str) -> None:
    (tmp_path / cache.FILE).write_bytes(text.encode(errors="surrogateescape"))
    assert cache.answers({"a": LOAF}, tmp_path, lambda _: MADE_UP) == {"a": MADE_UP}
    assert json.loads((tmp_path / cache.FILE).read_text(encoding="utf-8"))["version"] == cache.VERSION


def test_another_version_of_the_model_asks_anew(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    cache.answers({"a": LOAF}, tmp_path, lambda _: MADE_UP)
    monkeypatch.setattr(cache, "VERSION", cache.VERSION + 1)
    newer = replace(MADE_UP, load_percent=61)
    assert cache.answers({"a": LOAF}, tmp_path, lambda _: newer) == {"a": newer}


def test_a_disk_that_cannot_be_written_keeps_nothing_and_says_nothing(tmp_path: Path) -> None:
    (tmp_path / "state").write_text("a file where a folder should be", encoding="utf-8")
    for folder in (tmp_path / "state", tmp_path / "no" / "where", None):
        assert cache.answers({"a": LOAF}, folder, lambda _: MADE_UP) == {"a": MADE_UP}


def test_the_file_does_not_grow_for_ever(tmp_path: Path) -> None:
    for grams in range(100, 100 + cache.MOST_KEPT + 5):
        cache.answers({"a": replace(LOAF, loaf=Loaf("batard", grams))}, tmp_path, lambda _: MADE_UP)
    kept = json.loads((tmp_path / cache.FILE).read_text(encoding="utf-8"))["answers"]
    assert len(kept) == cache.MOST_KEPT
    assert cache.digest(replace(LOAF, loaf=Loaf("batard", 100 + cache.MOST_KEPT + 4))) in kept


def test_a_kept_answer_loads_nothing_heavy(tmp_path: Path) -> None:
    cache.answers({"a": LOAF}, tmp_path, lambda _: MADE_UP)
    code = f"""
import sys
from pathlib import Path
from rotation.heat.asked import Question, Way
from rotation.heat.cache import answers
from rotation.heat.shape import Loaf
question = Question(Loaf("batard", 620), ways=(Way("worktop", "worktop", ((220, 18),), 15),))
answers({{"a": question}}, Path({str(tmp_path)!r}))
print(sorted({{"numpy", "scipy"}} & set(sys.modules)))
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_solver_that_gives_up_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    from scipy.integrate import LSODA

    monkeypatch.setattr(LSODA, "_step_impl", lambda _: (False, "gave up"))
    with pytest.raises(OutsideModel, match="could not be worked out"):
        cooled(Loaf("batard", 620), 21, 35, BEST, COARSE)
