"""Lines of settings, also in odd but valid TOML, against what tomllib reads."""

from __future__ import annotations

import tomllib
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from rotation.household.lines import Path, line_of, lines_of

ODD = """\
# a comment with [brackets] and = signs
name = "Home # not a comment"   # one
"quoted key".inner = 'x = [1'

[kitchen] # trailing
room_degc = 21
multi = \"\"\"
[not.a.table]
x = 1 \\"\"\"
\"\"\"
raw = '''
[[nor.this]]'''
after = 2027-03-05 10:00:00

[[people]]
id = "jo"
price = [ # why
  { days = "mon", per_minute = 1 },

  { days = ["tue", "wed"], per_minute = 2 }, # last
]
free.weekdays = ["17:30-21:30",
  "22:00-23:00"]
[people.identity]
names = []
[[people.rules]]
a = 1
[[people.rules]]
a = 2
[[people]]
id = "sam"
[people.identity]
names = ["Sam"]
"""


def test_lines_in_odd_toml() -> None:
    lines = lines_of(ODD)
    expected: dict[Path, int] = {
        ("name",): 2,
        ("quoted key", "inner"): 3,
        ("kitchen",): 5,
        ("kitchen", "room_degc"): 6,
        ("kitchen", "multi"): 7,
        ("kitchen", "raw"): 11,
        ("kitchen", "after"): 13,
        ("people", 0): 15,
        ("people", 0, "price", 0, "per_minute"): 18,
        ("people", 0, "price", 1, "days", 1): 20,
        ("people", 0, "free", "weekdays", 1): 23,
        ("people", 0, "identity"): 24,
        ("people", 0, "rules", 1, "a"): 29,
        ("people", 1): 30,
        ("people", 1, "identity", "names", 0): 33,
    }
    assert {path: lines.get(path) for path in expected} == expected


def test_every_setting_of_odd_toml_has_a_line() -> None:
    assert _paths(tomllib.loads(ODD)) <= set(lines_of(ODD))


def test_windows_line_ends_and_no_last_line_end() -> None:
    assert lines_of('a = 1\r\nb = """x\r\ny"""\r\nc = 2')[("c",)] == 4


def test_the_nearest_written_thing_stands_for_what_is_missing() -> None:
    lines = lines_of(ODD)
    assert line_of(lines, ("people", 1, "name")) == 30
    assert line_of(lines, ("nowhere",)) is None


_TEXTS = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), max_size=8)
_VALUES = st.recursive(
    st.integers(-9, 9).map(str) | st.booleans().map(lambda b: str(b).lower()) | _TEXTS.map(lambda t: f"'{t}'")
    .filter(lambda t: t.count("'") == 2),
    lambda inner: st.lists(inner, max_size=3).map(lambda items: "[\n" + ",\n".join(items) + "]"),
    max_leaves=6,
)  # fmt: skip
_TABLES = st.lists(
    st.tuples(
        st.sampled_from(["[[a]]", "[[b.c]]", "[a.x]"]), st.dictionaries(st.sampled_from("pqr"), _VALUES, max_size=3)
    ),
    max_size=6,
)


@given(_TABLES)
@settings(max_examples=50, derandomize=True, deadline=None)
def test_every_setting_of_any_toml_has_its_own_line(tables: list[tuple[str, dict[str, str]]]) -> None:
    text = "".join(f"{head}\n" + "".join(f"{k} = {v}\n" for k, v in body.items()) for head, body in tables)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    lines, written = lines_of(text), text.split("\n")
    assert _paths(data) <= set(lines)
    for path, line in lines.items():
        if len(path) > 1 and isinstance(path[-1], str) and path[-1] in "pqr":
            assert written[line - 1].startswith(f"{path[-1]} = ")


def _paths(value: Any, at: Path = ()) -> set[Path]:
    """Return the path of everything within a value."""
    if isinstance(value, dict):
        inner: list[tuple[str | int, Any]] = list(value.items())
    elif isinstance(value, list):
        inner = list(enumerate(value))
    else:
        return set()
    return {(*at, key) for key, _ in inner}.union(*(_paths(one, (*at, key)) for key, one in inner))
