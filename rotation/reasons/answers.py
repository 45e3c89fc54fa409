"""What an answer is made of, as plain data: the words for it are in `rotation/show/why.py`."""

from __future__ import annotations

from dataclasses import dataclass

from rotation.problem import Meal
from rotation.reasons.compare import Difference, Look


@dataclass(frozen=True)
class About:
    """What was asked about. what: in a plan's own words; besides: names of what was meant as well, to ask about."""

    kind: str
    name: str
    what: str
    besides: tuple[str, ...] = ()


@dataclass(frozen=True)
class Feeds:
    """The meals that eat of it, each with its portions, and what of it nobody eats in the days the plan looks at."""

    meals: tuple[tuple[Meal, int], ...]
    left: int


@dataclass(frozen=True)
class Fed:
    """What a meal eats: words of each source with its portions; short: portions nothing gives."""

    sources: tuple[tuple[str, int], ...]
    portions: int
    short: int


@dataclass(frozen=True)
class Raises:
    """What a feed of the starter beside any bake is for: the bake whose own feed comes after it, None: it keeps it.

    bread: of that bake, in words; at: minute of its own feed; last: of the feed before, None where nothing is known of
    it; every: minutes that the starter may go unfed.
    """

    bread: str | None
    at: int | None
    last: int | None
    every: int


@dataclass(frozen=True)
class Better:
    """A better plan was found by the way: milli it saves."""

    saving: int


@dataclass(frozen=True)
class Without:
    """The best plan found in which it is not so. None: none was found.

    forbidden: what was forbidden or asked for, in words; within: "left out" (nothing else is baked instead), "near"
    (other things may be baked on the days near it), "all" (on any day). proven: no such plan is better.
    """

    forbidden: str
    within: str
    difference: Difference | None
    look: Look | None
    proven: bool
    better: bool = True
    """Whether it is better than the one before it in the answer."""


@dataclass(frozen=True)
class Bound:
    """A rule that binds: without it the best plan is better. saving: milli at least; proven: and not more."""

    rule: str
    saving: int
    difference: Difference
    look: Look
    proven: bool


@dataclass(frozen=True)
class Unbound:
    """Rules that were dropped, one at a time: with no gain, which is proven, or with none found."""

    proven: tuple[str, ...]
    unknown: tuple[str, ...]


@dataclass(frozen=True)
class Slack:
    """How far one step alone could move, all else as planned: its minutes, and which rules are in the way beyond."""

    step: str
    start: int
    first: int
    last: int
    before: tuple[str, ...]
    after: tuple[str, ...]


@dataclass(frozen=True)
class Cure:
    """Changes that cure something, and what the plan with them has other.

    changes: the id of each with its words; minimal: whether it is proven that no fewer of them do, whatever else is
    planned; near: the same as long as the other days stay as planned; number: from 1.
    """

    number: int
    changes: tuple[tuple[str, str], ...]
    difference: Difference
    look: Look
    minimal: bool
    near: bool


@dataclass(frozen=True)
class Uncured:
    """Nothing of the catalogue cures it, as far as was looked: how many changes were tried, how many at once."""

    tried: int
    at_once: int


Part = Feeds | Fed | Raises | Better | Without | Bound | Unbound | Slack | Cure | Uncured
