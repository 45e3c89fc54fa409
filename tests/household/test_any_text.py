"""Whatever a line of a household says, it is read, or refused in words with a line; never a traceback."""

from __future__ import annotations

import tempfile
from datetime import date
from functools import lru_cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotation.errors import BadInput, Mistake
from rotation.household.reading import read_home
from rotation.templates import Answers, laid_out

LITERALS = (
    "-1", "0", "3", "1e300", "nan", "-inf", "true", '""', '"x"', '"17:30-21:30"', '"25:00"', "[]", "[[]]", '["jo"]',
    "[1, 2]", "{}", '{ degc = 3 }', "2027-03-05", "2027-03-05T18:30:00Z", "07:30:00", "[{}]", "9" * 400,
    '"\\u001b[31m"',
    '["mon", "x"]', "garbage", '"', "]", '"../../etc/passwd"', '{ weekdays = "20:00" }',
)  # fmt: skip


@lru_cache(maxsize=1)
def _right() -> dict[str, str]:
    texts = laid_out(Answers(date(2027, 2, 26), in_freezer=(("country", 2),)))
    return {name: text for name, text in texts.items() if name.endswith(".toml")}


def _spoilt(texts: dict[str, str], changes: list[tuple[int, str, int]]) -> dict[str, str]:
    spoilt = dict(texts)
    for where, how, what in changes:
        name = sorted(spoilt)[where % len(spoilt)]
        lines = spoilt[name].split("\n")
        told = [index for index, line in enumerate(lines) if "=" in line and not line.lstrip().startswith("#")]
        if not told:
            continue
        at = told[where // 7 % len(told)]
        key, _, value = lines[at].partition("=")
        literal = LITERALS[what % len(LITERALS)]
        lines[at] = {
            "value": f"{key}= {literal}",
            "key": f"x{key}={value}",
            "gone": "",
            "twice": f"{lines[at]}\n{lines[at]}",
            "table": f"{lines[at]}\n[x{what}]",
        }[how]
        spoilt[name] = "\n".join(lines)
    return spoilt


CHANGES = st.lists(
    st.tuples(
        st.integers(0, 5000), st.sampled_from(["value"] * 6 + ["key", "gone", "twice", "table"]), st.integers(0, 5000)
    ),
    min_size=1,
    max_size=4,
)


def _read_or_refused(texts: dict[str, str]) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "breads").mkdir()
        for file, text in texts.items():
            (folder / file).write_text(text, encoding="utf-8")
        refused: tuple[Mistake, ...] = ()
        try:
            read_home(folder)
        except BadInput as bad:
            refused = bad.mistakes
            if not refused:
                raise
        for mistake in refused:
            assert mistake.wrong
            assert str(mistake).isprintable()
            assert len(str(mistake)) < 1000
            if mistake.line is not None:
                lines = texts[str(Path(mistake.file).relative_to(folder))].count("\n") + 1
                assert 1 <= mistake.line <= lines


@given(CHANGES)
@settings(max_examples=50, derandomize=True, deadline=None)
def test_any_line(changes: list[tuple[int, str, int]]) -> None:
    _read_or_refused(_spoilt(_right(), changes))


@pytest.mark.long
@given(CHANGES)
@settings(max_examples=1000, derandomize=True, deadline=None)
def test_any_line_often(changes: list[tuple[int, str, int]]) -> None:
    _read_or_refused(_spoilt(_right(), changes))
