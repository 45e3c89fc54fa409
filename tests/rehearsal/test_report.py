"""Figures of weeks, differences in pairs, the marks, the picture, the rows; held against figures worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest

from rotation.rehearsal.measures import Week, figures
from rotation.rehearsal.picture import BOTTOM, HEIGHT, TOP, Point, frontier, picture, scale
from rotation.rehearsal.report import Rehearsed, bootstrap, marks, paired, report
from rotation.rehearsal.runs import append, read
from rotation.show.rehearsal import page, work

PLAIN = Week(
    wanted=100, unmet=2, wasted=7, hands=120, bakes=2, heat_ups=4, eaten=50, age=50 * 1440, fresh=25, effort=9e4
)
OURS = tuple(replace(PLAIN, hands=90 + n, unmet=1 + n % 2, changes=n == 1, effort=8e4) for n in range(4))
THEIRS = tuple(replace(PLAIN, hands=120 + n) for n in range(4))


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
    came = Rehearsed(worse, {"up to S": "when there is little"}, 20, 70, 1.25)
    lines = "\n".join(page(came, "your own weeks", 4, 1, over=True))
    assert "30 more min of hands (95 %: +30 to +30)" in lines
    assert "missed   unmet: 2.0 of 100 slices, 1.5 by the rule" in lines
    assert "2.0 hours of hands a week, 33 % more than by “up to S”" in lines
    assert "really eaten is known of 20 of 70 days" in lines
    assert "1.2 s of a processor" in work(came)
    assert "calendars" not in "\n".join(page(came, "your own weeks", 4, 1))


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


def test_no_label_lies_over_another_or_over_an_axis() -> None:
    """Five policies at one place at the bottom, five at the top."""
    points = [Point(f"rule {n}", 1, 0) for n in range(5)] + [Point(f"other {n}", 1, 5) for n in range(5)]
    tree = ElementTree.fromstring(picture(points, "t", "a", "u"))
    words = [e for e in tree.iter() if e.tag.endswith("}text") and (e.text or "").startswith(("rule", "other"))]
    heights = sorted(float(e.attrib["y"]) for e in words)
    assert len(heights) == 10
    assert all(b - a >= 15 for a, b in pairwise(heights))
    assert heights[0] > TOP
    assert heights[-1] < HEIGHT - BOTTOM + 5


def test_rows_resume(tmp_path: Path) -> None:
    """What was written is read again, by policy, scenario and seed."""
    path = tmp_path / "rows.csv"
    assert read(path) == {}
    append(path, ("planner", "usual", 1), OURS)
    append(path, ("up to S", "usual", 1), THEIRS)
    assert read(path) == {("planner", "usual", 1): OURS, ("up to S", "usual", 1): THEIRS}
