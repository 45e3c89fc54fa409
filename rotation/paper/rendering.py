"""Fills templates: everything put into one is escaped, and text that runs from right to left is kept to itself."""

from __future__ import annotations

import re
from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

_RIGHT_TO_LEFT = "\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefe\U00010800-\U00010fff\U0001e800-\U0001efff"
_RUN = re.compile(f"[{_RIGHT_TO_LEFT}](?:[^A-Za-z0-9{_RIGHT_TO_LEFT}]*[{_RIGHT_TO_LEFT}])*")


def isolated(text: str) -> Markup:
    """Return a text escaped, with what is written from right to left in an element of its own, so that numbers and
    words beside it stay where they are.
    """
    parts, last = [], 0
    for run in _RUN.finditer(text):
        parts += [escape(text[last : run.start()]), Markup("<bdi>{}</bdi>").format(run[0])]
        last = run.end()
    return Markup("").join([*parts, escape(text[last:])])


@cache
def _environment() -> Environment:
    made = Environment(
        loader=PackageLoader("rotation.paper"), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True,
    )  # fmt: skip
    made.filters["said"] = isolated
    return made


def rendered(template: str, **values: Any) -> str:
    """Return a template filled in."""
    return _environment().get_template(template).render(**values)
