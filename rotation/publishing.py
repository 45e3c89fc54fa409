"""Publishing: what a kept plan would change in the calendars, and then changing it. Nothing is printed here."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from calendars.apply import Done, apply
from calendars.difference import difference
from calendars.sync import Changes, Question
from calendars.text import clean
from rotation.asked import Meant
from rotation.carried import Carried, from_text, to_text
from rotation.entries import PRODUCT, Explained, Recipes
from rotation.entries.wanted import NO_TASKS, for_another, for_bread
from rotation.errors import BadInput, Mistake
from rotation.feed import addresses, carried_on, feeds_of, news
from rotation.household.reading import SETTINGS, Home
from rotation.identity import christened, given_up, kinds
from rotation.intake.wishes import OVERTAKEN, SECOND, alike
from rotation.keys import Keys
from rotation.ledger import Ledger, Told
from rotation.ledger.journal import EntryJournal, places
from rotation.problem import Problem
from rotation.recipes import recipes
from rotation.show.json_text import dumps
from rotation.show.plan_json import plan_json
from rotation.standing import misfits
from rotation.stockroom import STATE, freezer
from rotation.targets import Target, targets
from rotation.week import understand
from rotation.written import Seen, meant_to_text, seen, tick_off, understand_edits

STALE = timedelta(days=1)
"""A plan made further than that from now is not written."""

PLAN_AGAIN = "Make a new one: rotation plan"


@dataclass(frozen=True)
class Ahead:
    """What would be done to one calendar, and what the family did there."""

    look: Seen
    changes: Changes

    @property
    def target(self) -> Target:
        """The calendar."""
        return self.look.target


@dataclass(frozen=True)
class Proposal:
    """What publishing would do. carried: the plan, with the ids its things keep; meant: what its entries stand for.

    unread: what the family asked for in the calendars and the plan does not know; said: what else it should know.
    recipes: what to weigh at each step. after: number of the publication it was looked at after; 0: none. feeds: what
    those read who only subscribe; news: how many entries are other there than before.
    """

    home: Home
    problem: Problem
    notes: tuple[str, ...]
    carried: Carried
    meant: tuple[Meant, ...]
    ahead: tuple[Ahead, ...]
    unread: tuple[str, ...]
    said: tuple[str, ...]
    recipes: Recipes
    after: int = 0
    feeds: str = ""
    news: int = 0

    @property
    def questions(self) -> tuple[tuple[str, Question], ...]:
        """What a person has to answer before anything is written, each with the name of its calendar."""
        return tuple((one.target.name, question) for one in self.ahead for question in one.changes.questions)

    @property
    def fed(self) -> int:
        """How many entries would be other than before in the feed, where that is all that is published into."""
        return 0 if self.ahead else self.news

    @property
    def writes(self) -> int:
        """How many entries would be written or taken away."""
        return sum(len(one.changes.writes) for one in self.ahead)


def propose(home: Home, now: datetime, answered: Collection[str] = (), *, forget: bool = False) -> Proposal:
    """Return what publishing the kept plan would change. What an earlier run left open is settled, nothing is written.

    answered: kinds of questions a person said yes to. forget: the family's edits are written over.
    Raises BadInput where there is no plan, it no longer fits, or nowhere to write it; CalendarError for a calendar that
    cannot be read.
    """
    known = _somewhere(home)
    with freezer(home, now) as ledger:
        carried = _kept(ledger, now, home)
        understood = understand(home, carried.zero, carried.days)
        _fits(understood.problem, carried, home)
        looks = [seen(ledger, target, home, now, answered) for target in known]
        unread = () if forget else tuple(_unread(ledger, home, looks, now))
        carried = christened(carried, Told(ledger).states())
        own, said = for_bread(home, understood.problem, carried.plan)
        ahead, meant, last = [], [one.meant for one in own], Told(ledger).last()
        kept, _ = Told(ledger).feeds() or (None, now)
        fed = feeds_of(home, understood.problem, carried.plan, (one.entry for one in own))
        feeds = carried_on(kept, fed, now)
        for look in looks:
            wanted = own
            if look.target.person or look.target.oven:
                wanted = for_another(home, understood.problem, carried.plan, look.target.person, look.target.oven)
                meant += [one.meant for one in wanted]
            if home.settings.entries.tasks and not look.target.takes_tasks:
                wanted = tuple(replace(one, entry=replace(one.entry, task=False)) for one in wanted)
                said.append(NO_TASKS.format(look.target.name))
            ahead.append(_ahead(ledger, home, look, wanted, now))
            said += [f"{warning}." for warning in look.target.warnings]
        if places(ledger) - {target.place for target in known}:
            said.append("Entries of ours stand in a calendar that is no longer named here; take them out there.")
    return Proposal(
        home, understood.problem, understood.notes, carried, tuple(meant), tuple(ahead), unread, tuple(said),
        recipes(understood.home.known, carried.plan, home.settings.shown.display),
        0 if last is None else last.number, feeds, news(kept, feeds),
    )  # fmt: skip


def publish(proposal: Proposal, now: datetime, *, forget: bool = False) -> tuple[tuple[Target, Done], ...]:
    """Record the plan as published, then write; return what became of it in each calendar.

    What the family ticked off is recorded as done. forget: its wishes are dropped. Killed at any instant, the next run
    goes on. Raises StorageError, CalendarError, BadInput while something has to be answered or read first, or where
    another publication came between.
    """
    if proposal.unread or proposal.questions:
        raise BadInput(Mistake("publish", None, "", "the calendars were changed since the plan.", PLAN_AGAIN))
    home, carried = proposal.home, proposal.carried
    for one in proposal.ahead:
        one.target.make()
    with freezer(home, now) as ledger:
        record, text, meant = Told(ledger), to_text(carried), meant_to_text(proposal.meant)
        _tick_off(ledger, home, [one.look for one in proposal.ahead], now)
        with ledger.together():
            last = record.last()
            if forget:
                record.record_wishes([replace(wish, over="forgotten") for wish in record.wishes(now)], now)
            if last is None or (last.plan, last.meant) != (text, meant):
                if last is not None and last.number != proposal.after:
                    wrong = "somebody else published meanwhile."
                    raise BadInput(Mistake("publish", None, "", wrong, "Look again: rotation publish"))
                shown = plan_json(
                    proposal.problem, carried.plan, home.settings.name, proposal.notes, checked=True,
                    recipes=proposal.recipes,
                )  # fmt: skip
                gone = () if last is None else given_up(from_text(last.plan), carried, now)
                record.publish(text, dumps(shown), meant, kinds(carried), now, gone, proposal.feeds)
            elif (record.feeds() or ("", now))[0] != proposal.feeds:
                record.keep_feeds(proposal.feeds, now)
        return tuple(
            (
                one.target,
                apply(
                    one.changes,
                    one.target.store,
                    EntryJournal(ledger, one.target.place, now),
                    now=now,
                    zone=home.zone,
                    product_id=PRODUCT,
                ),
            )
            for one in proposal.ahead
        )


def note_deleted(proposal: Proposal, now: datetime) -> tuple[str, ...]:
    """Record as wishes what a person said was deleted on purpose; return them in words."""
    with freezer(proposal.home, now) as ledger:
        edits = [edit for one in proposal.ahead for edit in one.look.edits]
        read = understand_edits(ledger, proposal.home, edits, now)
        Told(ledger).record_wishes(read.asked, now)
        return tuple(dict.fromkeys(wish.said for wish in read.asked))


def _somewhere(home: Home) -> tuple[Target, ...]:
    known = targets(home)
    if not known and not addresses(Keys(home.folder / STATE)):
        wrong = "it is not said where entries are written."
        instead = 'Make a calendar for bread, and name it: path = "calendars/bread", or url = "https://...".'
        raise BadInput(Mistake(str(home.folder / SETTINGS), None, "entries", wrong, instead))
    return known


def _kept(ledger: Ledger, now: datetime, home: Home) -> Carried:
    """Return the plan kept, if it is of about now."""
    text = ledger.whole_plan()
    if text is None:
        raise BadInput(Mistake("publish", None, "", "there is no plan yet.", PLAN_AGAIN))
    carried = from_text(text)
    if abs(carried.zero - now) > STALE:
        made = carried.zero.astimezone(home.zone)
        wrong = f"the plan begins on {made:%a} {made.day} {made:%b %Y}, more than a day from now."
        raise BadInput(Mistake("publish", None, "", wrong, PLAN_AGAIN))
    return carried


def _fits(problem: Problem, carried: Carried, home: Home) -> None:
    """Raise BadInput if the plan breaks a rule by now: the household, its calendars or its freezer changed."""
    wrong = misfits(problem, carried, home.zone)
    if wrong:
        first = clean(str(wrong[0]), 200)
        more = f" and {len(wrong) - 1} more" if len(wrong) > 1 else ""
        said = f"the plan no longer fits: something it relies on was changed since ({first}{more})."
        raise BadInput(Mistake("publish", None, "", said, PLAN_AGAIN))


def _unread(ledger: Ledger, home: Home, looks: Iterable[Seen], now: datetime) -> Iterator[str]:
    """Yield the wishes that no plan has taken in yet."""
    read = understand_edits(ledger, home, [edit for look in looks for edit in look.edits], now)
    known = Told(ledger).last_words()
    for wish in read.asked:
        record = known.get(wish.id)
        read_in = record is not None and alike(record, wish) and record.over in ("", OVERTAKEN, SECOND)
        if wish.until > now and not read_in:
            yield wish.said


def _tick_off(ledger: Ledger, home: Home, looks: Iterable[Seen], now: datetime) -> None:
    read = understand_edits(ledger, home, [edit for look in looks for edit in look.edits], now)
    tick_off(ledger, home, read.ticked, now)


def _ahead(ledger: Ledger, home: Home, look: Seen, wanted: Sequence[Explained], now: datetime) -> Ahead:
    changes = difference(
        EntryJournal(ledger, look.target.place, now).written(),
        look.held,
        [one.entry for one in wanted],
        now=now,
        zone=home.zone,
        product_id=PRODUCT,
        answered=look.answered,
    )
    return Ahead(look, changes)
