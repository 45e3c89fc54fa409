"""What the ledger remembers of published plans, of the family's edits, and of what was written into calendars."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from datetime import timedelta

import pytest

from calendars.sync import Intent, Written
from rotation.asked import Asked
from rotation.errors import BadInput, StorageError
from rotation.ledger import Ledger, Told
from rotation.ledger.journal import EntryJournal, ever_written, places
from rotation.life import MOVES, OVER, State

THINGS = {"a": "bake", "b": "thaw"}


@pytest.fixture
def told(ledger):
    return Told(ledger)


def published(told, now, things=THINGS, plan='{"n": 1}'):
    told.publish(plan, "{}", "[]", things, now)


def wish(now, **changes):
    values = {
        "id": "a-bake", "thing": "a", "belongs": "a", "kind": "fixed", "bread": "tin", "step": "mix",
        "since": now + timedelta(hours=5),
        "until": now + timedelta(hours=5, minutes=1), "said": "moved to 22:30",
    }  # fmt: skip
    return Asked(**(values | changes))


def test_nothing_was_told_yet(told, now):
    assert told.last() is None
    assert told.states() == {}
    assert told.wishes(now) == ()


def test_a_publication_is_kept_with_its_things_and_the_plan_in_one_go(told, ledger, now):
    published(told, now)
    last = told.last()
    assert (last.plan, last.at) == ('{"n": 1}', now)
    assert ledger.whole_plan() == '{"n": 1}'
    assert told.states() == {"a": State.PUBLISHED, "b": State.PUBLISHED}


def test_what_is_given_up_is_recorded_but_not_what_has_begun(told, now):
    published(told, now, {**THINGS, "d": "thaw"})
    told.move(["a"], State.BEGUN, now, now)
    told.publish("{}", "{}", "[]", {"c": "bake"}, now, given_up=["a", "b"])
    assert told.states() == {
        "a": State.BEGUN, "b": State.ABANDONED, "c": State.PUBLISHED, "d": State.PUBLISHED,
    }  # fmt: skip


def test_a_move_there_is_not_is_refused_and_moves_nothing(told, now):
    published(told, now)
    told.move(["a"], State.CLOSED, now, now)
    with pytest.raises(BadInput, match='is closed, so it cannot become "begun"'):
        told.move(["b", "a"], State.BEGUN, now, now)
    assert told.states() == {"a": State.CLOSED, "b": State.PUBLISHED}
    told.move(["a"], State.CLOSED, now, now)


def test_every_life_ends_and_none_goes_back():
    assert set(MOVES) == set(State)
    assert all(not MOVES[state] for state in OVER)
    assert all(State.CLOSED in MOVES[state] for state in MOVES if state not in OVER)
    assert not any(state in MOVES[later] for state in MOVES for later in MOVES[state])


def test_the_last_word_on_an_entry_is_the_wish_and_it_ends_with_its_window(told, now):
    published(told, now)
    first, second = wish(now), wish(now, since=now + timedelta(hours=7), until=now + timedelta(hours=8))
    told.record_wishes([first], now)
    told.record_wishes([first], now)
    assert told.wishes(now) == (first,)
    told.record_wishes([second], now)
    assert told.wishes(now) == (second,)
    assert told.wishes(now + timedelta(hours=8)) == ()
    told.record_wishes([replace(second, over="forgotten")], now)
    assert told.wishes(now) == ()


def test_wishes_and_the_plan_that_took_them_in_are_kept_together_or_not_at_all(told, ledger, now):
    published(told, now)
    ledger.keep_plan("{}", now, '{"n": 2}', [wish(now)])
    assert told.wishes(now) == (wish(now),)
    with pytest.raises(StorageError):
        ledger.keep_plan("{}", now, '{"n": 3}', [wish(now, id="x", thing="nothing we know")])
    assert ledger.whole_plan() == '{"n": 2}'


def test_a_journal_keeps_what_is_written_and_what_is_meant(ledger, now):
    journal, other = EntryJournal(ledger, "one", now), EntryJournal(ledger, "other", now)
    meant = Intent("u", "u.ics", b"data and theirs", None, b"data")
    journal.intend(meant)
    assert (journal.intents(), journal.written()) == ((meant,), ())
    journal.wrote(Written("u", "u.ics", '"1"', b"data"))
    assert (journal.intents(), journal.written()) == ((), (Written("u", "u.ics", '"1"', b"data"),))
    journal.intend(Intent("u", "u.ics", None, '"1"', b""))
    assert journal.written() == (Written("u", "u.ics", '"1"', b"data"),), "it stands until it is known to be gone"
    journal.dropped("u")
    assert (journal.intents(), len(journal.written())) == ((), 1)
    assert places(ledger) == {"one"}
    journal.gone("u")
    journal.gone("never there")
    assert (journal.intents(), journal.written(), other.written()) == ((), (), ())
    assert places(ledger) == set()
    assert "u" in ever_written(ledger)


def test_a_journal_is_there_after_a_crash(folder, now):
    with Ledger.open(folder) as ledger:
        journal = EntryJournal(ledger, "one", now)
        journal.wrote(Written("u", "u.ics", '"1"', b"data"))
        journal.intend(Intent("v", "v.ics", b"more", None, b"more"))
    with Ledger.open(folder, readonly=True) as ledger:
        journal = EntryJournal(ledger, "one", now)
        assert [one.uid for one in journal.intents()] == ["v"]
        assert [one.uid for one in journal.written()] == ["u"]
        assert ever_written(ledger) == {"u", "v"}


@pytest.mark.parametrize("table", ["publication", "thing", "life", "entry", "wish"])
def test_nothing_that_was_recorded_can_be_changed(told, ledger, now, table):
    published(told, now)
    told.record_wishes([wish(now)], now)
    EntryJournal(ledger, "one", now).gone("u")
    with ledger.reading() as connection:
        for change in (f"DELETE FROM {table}", f"UPDATE {table} SET rowid = 99"):
            with pytest.raises(sqlite3.IntegrityError, match="append-only"):
                connection.execute(change)
