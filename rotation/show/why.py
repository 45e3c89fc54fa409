"""Why something is planned so, in lines: what it feeds, what else would cost, what stands in the way."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from calendars.text import clean
from rotation.problem import Problem
from rotation.reasons.answers import (
    About,
    Better,
    Bound,
    Cure,
    Fed,
    Feeds,
    Part,
    Raises,
    Slack,
    Unbound,
    Uncured,
    Without,
)
from rotation.reasons.compare import Difference, Shorter
from rotation.reasons.loosened import LOOSENED
from rotation.show.costs import minutes, moved
from rotation.show.fit import WIDTH, fit
from rotation.words import clock, count, listed, long_time, time_words

LEAST = 50
"""Milli below which nothing is said of a cost."""

MOST, FEW = 5, 2
"""Terms and changes that are printed, and how few where much is said; JSON has them all."""

WITHIN = {
    "left out": "and nothing baked instead",
    "near": "with other things baked on the days near it",
    "all": "with all days planned anew",
}

_OTHER = {
    "pieces": "pieces", "horizon": "the days planned", "heat": "the oven's heat", "turns": "the turns in the oven",
    "stages": "the order of the steps", "rested": "the rest before it is eaten", "portions": "what meals want",
    "stock": "what is in the freezer", "fifo": "oldest first", "accepted": "what meals take", "grid": "five minutes",
    "dates": "dates of bags", "finishes": "the finish", "together": "what is finished together",
    "one_mix": "one bake a day", "under_way": "what has begun", "toast": "slices", "allergens": "allergens",
    "references": "the plan itself", "filled": "fillings", "closed": "the oven's hours",
}  # fmt: skip
"""Rules that are not loosened, as people say them."""


def rule_words(rule: str) -> str:
    """Return what a family calls a rule."""
    return LOOSENED[rule].name if rule in LOOSENED else _OTHER.get(rule, rule.replace("_", " "))


def title(about: About) -> str:
    """Return the first line of an answer."""
    return f"WHY {about.what} [{about.name}]"


def besides(about: About, width: int = WIDTH) -> Iterator[str]:
    """Yield what else was meant, by the names to ask about it."""
    if about.besides:
        some = [f'"{name}"' for name in about.besides[: MOST + 1]]
        more = len(about.besides) - len(some)
        yield from fit(f"  Short as well: {listed([*some, f'{more} more'] if more else some)}.", 6, width)


def lines(problem: Problem, part: Part, width: int = WIDTH) -> Iterator[str]:
    """Yield the lines of one part of an answer."""
    for number, line in enumerate(_lines(problem, part)):
        yield from fit(f"{'    ' if number else '  '}{line}", 6, width)


def _lines(problem: Problem, part: Part) -> Iterator[str]:
    if isinstance(part, Feeds):
        yield from _feeds(problem, part)
    elif isinstance(part, Fed):
        said = listed(f"{number} of {words}" for words, number in part.sources) or "nothing"
        short = f", and is SHORT BY {part.short}" if part.short else ""
        yield f"It wants {count(part.portions, 'portion')} and eats {said}{short}."
    elif isinstance(part, Raises):
        yield from _raises(problem, part)
    elif isinstance(part, Better):
        less = f"{minutes(part.saving)} effort minutes less"
        yield f"By the way: a plan that costs {less} was found on these days; plan again, with --work thorough."
    elif isinstance(part, Slack):
        yield from _slack(problem, part)
    elif isinstance(part, Without):
        yield from _without(problem, part)
    elif isinstance(part, Bound):
        yield from _bound(problem, part)
    elif isinstance(part, Unbound):
        if part.proven:
            yield f"Not in the way, each proven: {listed(map(rule_words, part.proven))}."
        if part.unknown:
            few = listed(map(rule_words, part.unknown)) if len(part.unknown) < MOST else f"{len(part.unknown)} others"
            yield f"No gain found without {few}; that there is none is not proven."
    elif isinstance(part, Cure):
        yield from _cure(problem, part)
    else:
        yield from _uncured(part)


def _feeds(problem: Problem, part: Feeds) -> Iterator[str]:
    some = part.meals[: MOST + 2]
    said = [f"{clean(meal.summary, 40)} {long_time(problem, meal.at)} ({number})" for meal, number in some]
    more = sum(number for _, number in part.meals[MOST + 2 :])
    said += [f"{len(part.meals) - len(some)} later meals ({more})"] if more else []
    left = (
        f" {count(part.left, 'portion')} of it {'are' if part.left > 1 else 'is'} left at the end." if part.left else ""
    )
    yield f"It feeds {listed(said)}.{left}" if said else f"Nobody eats of it in the days planned.{left}"


def _raises(problem: Problem, part: Raises) -> Iterator[str]:
    if part.at is None:
        yield "It keeps the starter; it is for no bake."
    else:
        yield f"It makes the starter strong for {part.bread or 'a bake'}, fed for {long_time(problem, part.at)}."
    if part.last is not None and part.every:
        by, days = long_time(problem, part.last + part.every), f"{round(part.every / 1440, 1):g} days"
        yield f"Fed last {long_time(problem, part.last)}, it may go {days} unfed: until {by}."


def _slack(problem: Problem, part: Slack) -> Iterator[str]:
    first, last = clock(problem.instant(part.first)), time_words(problem, part.last, part.start)
    if part.first == part.last:
        ways = f"before it {_rules(part.before)}, after it {_rules(part.after)}"
        yield f"{_capital(part.step)} cannot move alone: {ways}."
        return
    both = [
        f"sooner: {_rules(part.before)}" if part.before else "",
        f"later: {_rules(part.after)}" if part.after else "",
    ]
    said = f" {'; '.join(way for way in both if way)}." if any(both) else ""
    yield f"All else as planned, {part.step} may begin from {first} to {last}.{said}"


def _rules(rules: tuple[str, ...]) -> str:
    return listed(map(rule_words, rules[:3]))


def _without(problem: Problem, part: Without) -> Iterator[str]:
    how = WITHIN[part.within]
    if part.difference is None:
        yield f"{_capital(part.forbidden)}: no plan found, {how}."
        return
    if not part.better:
        yield f"{_capital(how)}: nothing better{', proven' if part.proven else ''}."
        return
    sure = "" if part.proven else ", as far as looked"
    yield f"{_capital(part.forbidden)}, {how}: {price(part.difference)}{sure}."
    yield from of_difference(problem, part.difference)


def price(difference: Difference) -> str:
    """Return "14.2 effort minutes more"."""
    milli, guests = difference.cost, sum(s.after - s.before for s in difference.short if s.meal.strict)
    first = []
    if difference.wishes:
        first.append(
            f"{count(abs(difference.wishes), 'wish', 'wishes')} {'fewer' if difference.wishes > 0 else 'more'} kept"
        )
    if guests:
        first.append(f"guests short by {abs(guests)} {'more' if guests > 0 else 'less'}")
    cost = "it costs the same" if abs(milli) < LEAST else ""
    cost = cost or f"{minutes(abs(milli))} effort minutes {'more' if milli > 0 else 'less'}"
    return ", ".join([*first, cost])


def of_difference(problem: Problem, difference: Difference) -> Iterator[str]:
    """Yield what makes up a difference: terms, meals that are short, what is done otherwise."""
    if len(difference.terms) > 1 or (difference.terms and difference.terms[0][1] != difference.cost):
        told = [(name, milli) for name, milli in difference.terms if abs(milli) >= LEAST][:MOST]
        some = [f"{signed(milli)} {moved(name, milli)}" for name, milli in told]
        rest = difference.cost - sum(milli for _, milli in told)
        rest = rest if abs(rest) >= LEAST else 0
        yield f"{'; '.join([*some, f'{signed(rest)} other'] if rest else some)}."
    elif difference.terms:
        yield f"All of it: {moved(*difference.terms[0])}."
    yield from _meals(problem, difference)
    yield from _changes(difference)


def _meals(problem: Problem, difference: Difference) -> Iterator[str]:
    """Yield which meals are short by another number.

    Those with guests one by one, and those that are short before and after; the others in one line.
    """
    yield from (_shorter(problem, one) for one in difference.short if one.meal.strict)
    others = [one for one in difference.short if not one.meal.strict]
    if len(others) == 1:
        yield _shorter(problem, others[0])
        return
    more = _shares(problem, [one for one in others if not one.before])
    less = _shares(problem, [one for one in others if not one.after])
    if more and less:
        yield f"Short instead: {more}; no longer {less}."
    elif more or less:
        yield f"Short then: {more}." if more else f"No longer short: {less}."
    both = [one for one in others if one.before and one.after]
    yield from (_shorter(problem, one) for one in both[:MOST])
    if len(both) > MOST:
        yield f"{count(len(both) - MOST, 'other meal')} short by another number than now."


def _shorter(problem: Problem, shorter: Shorter) -> str:
    meal = f"{clean(shorter.meal.summary, 40)} {long_time(problem, shorter.meal.at)}"
    was = f", now by {shorter.before}" if shorter.before else ""
    now = f": short by {shorter.after}{was}" if shorter.after else f": enough{was.replace('now by', 'now short by')}"
    return f"{meal}{now}."


def _shares(problem: Problem, some: Sequence[Shorter]) -> str:
    """Return "Breakfast Mon 1 Mar 7:00 by 1 and Supper Mon 1 Mar 18:30 by 2"."""
    said = [
        f"{clean(one.meal.summary, 40)} {long_time(problem, one.meal.at)} by {abs(one.after - one.before)}"
        for one in some[:MOST]
    ]
    rest = sum(abs(one.after - one.before) for one in some[MOST:])
    return listed([*said, f"others by {rest}"] if rest else said)


def _changes(difference: Difference, most: int = MOST) -> Iterator[str]:
    if difference.changes:
        some = list(difference.changes[:most])
        more = f"; {len(difference.changes) - most} more" if len(difference.changes) > most else ""
        yield f"Then: {'; '.join(some)}{more}."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def signed(milli: int) -> str:
    """Return "+3.5" or "-3.5"."""
    return f"{'+' if milli > 0 else '-'}{minutes(abs(milli))}"


def _bound(problem: Problem, part: Bound) -> Iterator[str]:
    of = LOOSENED[part.rule]
    sure = "" if part.proven else ", or better"
    yield f"In the way: {of.name}. {_capital(of.words)}, {price(part.difference)}{sure}."
    yield from _changes(part.difference, FEW)


def _cure(problem: Problem, part: Cure) -> Iterator[str]:
    near = " (less does not do while the other days stay as planned)"
    sure = "" if part.minimal else near if part.near else " (whether less would do is not proven)"
    yield f"{part.number}  {_capital(listed(words for _, words in part.changes))}: {price(part.difference)}{sure}."
    yield from _meals(problem, part.difference)
    yield from _changes(part.difference)


def _uncured(part: Uncured) -> Iterator[str]:
    if part.tried:
        yield f"No cure found: {count(part.tried, 'way')} tried, of up to {part.at_once} changes each."
    else:
        yield "No more cures found."
