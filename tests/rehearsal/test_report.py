"""Figures of weeks, differences in pairs, the marks, the picture, the rows; held against figures worked out by hand."""

from __future__ import annotations

import json
from dataclasses import fields, replace
from datetime import date
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest

from rotation.rehearsal.measures import Figures, Week, figures
from rotation.rehearsal.picture import BOTTOM, HEIGHT, TOP, Point, frontier, picture, scale
from rotation.rehearsal.report import Rehearsed, bootstrap, marks, paired, report
from rotation.rehearsal.runs import append, read
from rotation.rehearsal.scenarios import scenario
from rotation.show.json_text import dumps
from rotation.show.rehearsal import drawn, page, work
from rotation.show.rehearsal_json import FIGURES, rehearsal_json
from tests.json_checked import checked

PLAIN = Week(
    wanted=100, unmet=2, wasted=7, hands=120, bakes=2, heat_ups=4, eaten=50, age=50 * 1440, fresh=25, effort=9e4
)
OURS = tuple(replace(PLAIN, hands=90 + n, unmet=1 + n % 2, changes=n == 1, effort=8e4) for n in range(4))
THEIRS = tuple(replace(PLAIN, hands=120 + n) for n in range(4))
CAME = Rehearsed(
    report("usual", {"up to S": THEIRS, "planner": OURS}, "planner", 14), {"up to S": "when there is little"},
    date(2027, 4, 12), 6, 4, 1, True, 20, 1.25,
)  # fmt: skip


def test_figures_by_hand() -> None:
    """Two hours, two of a hundred, half a loaf of fourteen, a day old, half within a day, 90 minutes of effort."""
    made = figures([PLAIN, PLAIN], 14)
    assert (made.unmet, made.wasted, made.hands, made.age, made.fresh, made.effort) == (2, 0.5, 2, 1, 0.5, 90)


def test_bootstrap_is_that_of_a_second_hand() -> None:
    """The interval is that of NumPy's resampling of the same values, within what 2000 draws leave open."""
    values = [1.0, 4.0, 2.0, 8.0, -3.0, 5.0, 0.0, 6.0]
    found, draw = bootstrap(values), np.random.default_rng(1)
    means = draw.choice(values, size=(20000, len(values))).mean(axis=1)
    assert found.mean == pytest.approx(np.mean(values))
    assert found.low == pytest.approx(np.quantile(means, 0.025), abs=0.25)
    assert found.high == pytest.approx(np.quantile(means, 0.975), abs=0.25)
    with pytest.raises(ValueError, match="no pairs"):
        bootstrap([])


def test_pairs_take_out_what_weeks_have_in_common() -> None:
    """Thirty minutes less in every week is thirty minutes less for sure, however much weeks differ."""
    found = paired(OURS, THEIRS, "hands")
    assert (found.mean, found.low, found.high) == (-30, -30, -30)


def test_marks_and_page() -> None:
    """The page tells what was reached and what was missed, with figures."""
    of = report("usual", {"up to S": THEIRS, "planner": OURS}, "planner", 14)
    assert [mark.reached for mark in marks(of)] == [True, True, True, True, True]
    worse = report("usual", {"up to S": OURS, "planner": THEIRS}, "planner", 14)
    assert [mark.reached for mark in marks(worse)] == [False, True, True, False, True]
    lines = "\n".join(page(replace(CAME, report=worse), "your own weeks"))
    assert "4 weeks that are over, Mon 12 Apr to Sun 9 May 2027, after 6 weeks to warm up." in lines
    assert "hands: 30 minutes more (95 %: +30 to +30)" in lines
    assert "missed   short, of 100 slices: 2.0, by the rule 1.5 (at most 1.7)" in lines
    assert "2.0 hours of hands a week, 33 % more than by “when low”" in lines
    assert "really eaten is known of 20 of 70 days" in lines
    assert "1.2 s of a processor" in work(CAME)
    assert all(len(line) <= 60 for line in page(CAME, "your own weeks", 60))
    to_come = "\n".join(page(replace(CAME, over=False, times=2), "your own weeks"))
    assert "calendars" not in to_come
    assert "9 May 2027, 2 times, after" in to_come


def test_so_few_weeks_prove_nothing() -> None:
    """That is said once, and no interval is made up; nothing missing is "none", and as much is no share."""
    few = report("usual", {"up to S": (PLAIN,), "planner": (replace(PLAIN, unmet=0, wasted=0),)}, "planner", 14)
    lines = "\n".join(page(replace(CAME, report=few, weeks=1), "your own weeks"))
    assert "a week, but so few weeks do not say how sure that is:" in lines
    assert "95 %" not in lines
    assert "2.0 hours of hands a week, as much as by “when low”" in lines
    assert "Slices short, of 100 wanted: none, by the rule 2.0. Loaves wasted a week: none, by the rule 0.50." in lines
    assert "  short: 2 slices less" in lines
    assert "  hands: the same" in lines
    ends = json.loads(dumps(rehearsal_json(replace(CAME, report=few), "Home", scenario("usual"))))["differences"]
    assert {(one["low"], one["high"]) for one in ends} == {(None, None)}


def test_page_as_data() -> None:
    """It keeps to its schema, and says what the page says."""
    said = checked(dumps(rehearsal_json(CAME, "Home", scenario("usual"))))
    assert [one["id"] for one in said["policies"]] == ["planner", "up to S"]
    assert [one["says"] for one in said["policies"]] == [None, "when there is little"]
    assert said["best_rule"] == "up to S"
    assert (said["first"], said["last"]) == ("2027-04-12", "2027-05-09")
    assert said["eaten_known"] == {"days": 20, "of": 70}
    ours = said["policies"][0]["figures"]
    assert list(ours) == list(FIGURES) == [field.name for field in fields(Figures)]
    assert (ours["hands"], ours["unmet"], ours["wasted"], ours["fresh"]) == (1.525, 1.5, 0.5, 0.5)
    hands = {"measure": "hands", "unit": "minutes", "mean": -30.0, "low": -30.0, "high": -30.0}
    assert hands in said["differences"]
    mark = {"figure": "hands", "planner": 1.525, "best_rule": 2.025, "most": 1.8225, "reached": True}
    assert mark in said["marks"]


def test_bread_that_is_all_toasted_has_no_age() -> None:
    """Neither on the page nor as data."""
    toasted = tuple(replace(week, eaten=0, age=0, fresh=0) for week in OURS)
    came = replace(CAME, over=False, report=report("usual", {"up to S": THEIRS, "planner": toasted}, "planner", 14))
    lines = list(page(came, "your own weeks"))
    assert any(line.startswith("age when eaten, days      toast") for line in lines)
    assert "  reached  age when eaten, days: toast, by the rule 1.00 (at most 1.10)" in lines
    said = checked(dumps(rehearsal_json(came, "Home", scenario("usual"))))
    assert said["policies"][0]["figures"]["age"] is None
    assert said["policies"][1]["figures"]["age"] is not None
    assert [mark["planner"] for mark in said["marks"] if mark["figure"] == "age"] == [None]
    assert said["eaten_known"] is None


def test_picture_of_a_report() -> None:
    """The plan is seen first, and what the dashes join is said."""
    tree = ElementTree.fromstring(drawn(CAME.report, "your own weeks"))
    bold = [element.text for element in tree.iter() if element.attrib.get("font-weight") == "bold"]
    assert bold == ["the plan"]
    assert not any(element.tag.endswith("polyline") for element in tree.iter())  # it is better in both
    other = report(
        "usual", {"up to S": tuple(replace(week, unmet=0) for week in THEIRS), "planner": OURS}, "planner", 14
    )
    assert "dashed: nobody is better in both" in drawn(other, "your own weeks")


def test_what_nobody_beats() -> None:
    """The picture is whole XML, joins the points nobody beats, and keeps a name that is none of its own."""
    points = [Point("a <b>", 1, 5), Point("c", 2, 2), Point("d", 3, 3), Point("e", 4, 1)]
    assert [point.name for point in frontier(points)] == ["a <b>", "c", "e"]
    tree = ElementTree.fromstring(picture(points, "Hands & slices", "hours", "slices"))
    words = [element.text for element in tree.iter() if element.tag.endswith("}text")]
    assert {"a <b>", "c", "d", "e", "Hands & slices"} <= set(words)


@pytest.mark.parametrize(
    ("most", "marks_"),
    [
        (0, (0, 1)),
        (1, (0, 0.2, 0.4, 0.6, 0.8, 1)),
        (1.1, (0, 0.5, 1, 1.5)),
        (11, (0, 5, 10, 15)),
        (250, (0, 50, 100, 150, 200, 250)),
    ],
)
def test_axes_have_round_marks(most: float, marks_: tuple[float, ...]) -> None:
    """A person can read them."""
    assert scale(most) == marks_


def test_no_label_lies_over_another_over_a_point_or_over_an_axis() -> None:
    """Five policies at one place at the bottom, five at the top, one whose name reaches to the point of another."""
    points = [Point(f"rule {n}", 1, 0) for n in range(5)] + [Point(f"other {n}", 1, 5) for n in range(5)]
    points += [Point("a rule", 0.2, 2), Point("a rule beside it", 0.3, 2)]
    tree = ElementTree.fromstring(picture(points, "t", "a", "u"))
    labels = [e for e in tree.iter() if e.tag.endswith("}text") and e.text in {point.name for point in points}]
    boxes = [(float(e.attrib["x"]), float(e.attrib["y"]), 7 * len(e.text or "")) for e in labels]
    assert len(boxes) == len(points)
    for number, (x, y, wide) in enumerate(boxes):
        assert y > TOP
        assert y + 4 < HEIGHT - BOTTOM
        assert all(abs(y - below) >= 14 or x + wide < left or left + width < x for left, below, width in boxes[:number])
    leads = [e for e in tree.iter() if e.tag.endswith("path")][1:]  # the first: the axes
    assert len(leads) == 3 + 4  # whose label lies further off than a line
    circles = [e for e in tree.iter() if e.tag.endswith("circle")]
    for circle in circles:
        x, y = float(circle.attrib["cx"]), float(circle.attrib["cy"])
        assert not any(left < x < left + wide and below - 10 < y < below + 4 for left, below, wide in boxes)


def test_rows_resume(tmp_path: Path) -> None:
    """What was written is read again, by policy, scenario and seed."""
    path = tmp_path / "rows.csv"
    assert read(path) == {}
    append(path, ("planner", "usual", 1), OURS)
    append(path, ("up to S", "usual", 1), THEIRS)
    assert read(path) == {("planner", "usual", 1): OURS, ("up to S", "usual", 1): THEIRS}
