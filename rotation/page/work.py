"""What is worked out in a process of its own, in words to be shown: plans, answers, rescues, what to write."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from rotation.page.jobs import Progress
from rotation.page.plain import grouped, plain


@dataclass(frozen=True)
class PlanMade:
    """A plan that is kept now. first: there was none before; verdict: how good it is; changed: what, and why, or None.

    short: meals that are, each with what is in the way; wishes: what became of them; asked: what the family is asked.
    """

    first: bool
    verdict: str
    changed: tuple[tuple[str, ...], str] | None
    short: tuple[tuple[str, str], ...]
    wishes: tuple[str, ...]
    asked: tuple[str, ...]


@dataclass(frozen=True)
class Offer:
    """One thing to do with slow dough. id: how it is chosen; lines: what, what comes next, what it costs."""

    id: str
    words: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class GuestsAnswer:
    """Whether guests can be fed, in lines; yes: they can."""

    yes: bool
    lines: tuple[str, ...]


@dataclass(frozen=True)
class Ahead:
    """What publishing would change. seen: what tells it from another; questions: kind and text of each to answer."""

    lines: tuple[str, ...]
    notes: tuple[str, ...]
    unread: tuple[str, ...]
    questions: tuple[tuple[str, str], ...]
    writes: int
    seen: str


@dataclass(frozen=True)
class Written:
    """What became of publishing. again: what there was to write is other than what was shown, and this is it now."""

    lines: tuple[str, ...]
    left: tuple[str, ...]
    noted: bool = False
    again: Ahead | None = None


def plan(folder: Path, now: datetime, work: str, progress: Progress) -> PlanMade:
    """Plan again and keep the plan."""
    from rotation import planning
    from rotation.household.reading import read_home
    from rotation.show.text import shortfall_lines, verdict, wish_lines
    from rotation.solve import limits
    from rotation.stockroom import freezer

    home = read_home(folder)
    progress("Reading the calendars")
    ready = planning.ready(home, now, None, now)
    progress(f"{len(ready.understood.problem.meals)} meals to feed; looking for a plan")
    made = planning.planned(ready, limits(work), progress)
    progress("Every rule holds; keeping it")
    with freezer(home, now, readonly=True) as ledger:
        first = ledger.kept_plan() is None
    made.keep()
    problem, best = made.week.problem, made.week.plan
    return PlanMade(
        first,
        verdict(problem, best),
        _changes(made.changed),
        tuple(_parted(line) for line in shortfall_lines(problem, best)),
        tuple(wish_lines(problem, best)),
        tuple(map(plain, ready.asked)),
    )


def _changes(said: str) -> tuple[tuple[str, ...], str] | None:
    """Return what changed one by one, and why; None where nothing did."""
    what, _, why = said.removeprefix("Changed: ").partition(" Because ")
    return (tuple(map(plain, what.rstrip(".").split("; "))), plain(why)) if said else None


def _parted(line: str) -> tuple[str, str]:
    """Return which meals are short, and what is in the way."""
    meals, _, why = line.partition(". In the way: ")
    return plain(meals), plain(why)


def guests(
    folder: Path, now: datetime, at: datetime, heads: int, slices: float, without: tuple[str, ...], progress: Progress
) -> GuestsAnswer:
    """Answer whether guests can be fed."""
    from rotation.guests import answer
    from rotation.household.reading import read_home
    from rotation.intake.invited import Asked
    from rotation.show.guests import lines

    progress("Planning with them at the table")
    asked = Asked(at, heads, slices, without)
    said = answer(read_home(folder), asked, now)
    return GuestsAnswer(not said.short, tuple(plain(line) for line in _whole(lines(said, without))))


def later(folder: Path, now: datetime, name: str, progress: Progress) -> tuple[Offer, ...]:
    """Return what can be done with dough that is not yet there, each planned."""
    from rotation.household.reading import read_home
    from rotation.later import options
    from rotation.show.later import option_lines

    progress("Planning each way to go on")
    _, offered = options(read_home(folder), name, now)
    return tuple(Offer(one.rescue.id, one.rescue.words, tuple(map(plain, option_lines(one, now)))) for one in offered)


def ahead(folder: Path, now: datetime, answered: Collection[str], forget: bool, progress: Progress) -> Ahead:
    """Return what publishing would change; nothing is written."""
    from rotation.household.reading import read_home
    from rotation.publishing import propose

    progress("Looking at the calendars")
    return _ahead(propose(read_home(folder), now, answered, forget=forget))


def publish(
    folder: Path, now: datetime, answered: Collection[str], forget: bool, seen: str, progress: Progress
) -> Written:
    """Write what was shown. What is other by now is shown again instead; what was deleted on purpose is noted."""
    from rotation import publishing
    from rotation.household.reading import read_home
    from rotation.show import changes
    from rotation.written import GONE

    progress("Looking at the calendars")
    proposal = publishing.propose(read_home(folder), now, answered, forget=forget)
    if GONE & {*answered} and proposal.unread and not forget:
        noted = publishing.note_deleted(proposal, now)
        return Written(tuple(f"Noted: {said}." for said in noted), (), noted=True)
    meant = _ahead(proposal)
    if meant.seen != seen or proposal.questions or proposal.unread:
        return Written((), (), again=meant)
    progress("Writing")
    lines, left = [], []
    for target, done in publishing.publish(proposal, now, forget=forget):
        lines.append(changes.became(target.name, done))
        left += list(changes.left(done))
    if proposal.fed:
        lines.append(changes.fed(proposal.fed))
    return Written(tuple(map(plain, lines)), tuple(map(plain, left)))


def _ahead(proposal: object) -> Ahead:
    from rotation.publishing import Proposal
    from rotation.show import changes

    assert isinstance(proposal, Proposal)
    zone = proposal.home.zone
    lines = [
        plain(line)
        for one in proposal.ahead
        for line in (*changes.ahead(one.target.name, one.changes, zone), *changes.overruled(one.changes, zone))
    ]
    if proposal.fed:
        lines.append(changes.fed(proposal.fed))
    questions = {question.kind: f"{name}: {question.text}" for name, question in proposal.questions}
    what = sorted(
        (one.target.place, str(write.now), str(write.was), write.title)  # not by uid: what is new has none that lasts
        for one in proposal.ahead
        for write in one.changes.writes
    )
    seen = sha256(repr((what, proposal.fed)).encode()).hexdigest()[:24]
    notes, unread = tuple(map(plain, proposal.said)), tuple(map(plain, proposal.unread))
    return Ahead(tuple(lines), notes, unread, tuple(questions.items()), proposal.writes or proposal.fed, seen)


def _whole(lines: Iterator[str]) -> Iterator[str]:
    """Yield lines that were broken to a width as they were before."""
    held = ""
    for line in lines:
        if line.startswith(" ") and held:
            held += f" {line.strip()}"
        else:
            if held:
                yield held
            held = line
    if held:
        yield held


@dataclass(frozen=True)
class Odd:
    """What was understood of the calendars. notes: by what they are about; oddities: what is odd in them, in detail."""

    meals: tuple[str, ...]
    notes: tuple[tuple[str, list[str]], ...]
    oddities: tuple[str, ...]


def odd(folder: Path, now: datetime, progress: Progress) -> Odd:
    """Read the calendars, and say what is odd in them and who is to be fed."""
    from rotation.household.reading import read_home
    from rotation.show.understood import lines
    from rotation.week import understand

    progress("Reading the calendars")
    home = read_home(folder)
    found = understand(home, now, home.settings.plan.days, None, now)
    said = list(lines(found.problem, found.notes, found.oddities))
    meals = [line.strip() for line in said if " GUESTS " in line and line.startswith("  ")]
    detail = said[said.index("CALENDARS, in detail") + 1 :] if "CALENDARS, in detail" in said else []
    return Odd(tuple(map(plain, meals)), tuple(grouped(found.notes)), tuple(map(plain, detail)))


@dataclass(frozen=True)
class Why:
    """Why a step is planned so. lines: each with whether it goes on with what the one before it began."""

    about: str
    lines: tuple[tuple[str, bool], ...]


def why(folder: Path, now: datetime, name: str, progress: Progress) -> Why:
    """Ask why a step is planned so."""
    from rotation import asking
    from rotation.household.reading import read_home
    from rotation.show.why import lines

    progress("Looking at the plan")
    asked = asking.why(read_home(folder), name, None, now, None)
    found: list[tuple[str, bool]] = []
    for part in asked.parts:
        for line in lines(asked.problem, part, 10_000):
            found.append((plain(line.strip()), line.startswith("    ")))
            progress(found[-1][0])
    return Why(plain(asked.about.what), tuple(found))
