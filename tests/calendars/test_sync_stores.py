"""The whole story of publishing on every kind of store: written once, edited by another client, written anew."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from calendars.apply import Done
from calendars.canonical import uids
from calendars.store import Writable, open_writable, resource_for
from tests.calendars.family import MemoryJournal, differ, entry, publish, set_line
from tests.calendars.servers import DavServer

HOUR = timedelta(hours=1)
ALARMS = (timedelta(minutes=15), timedelta(hours=12))
BAKE = entry(
    "bake", 5, alarms=ALARMS, categories=("Bread", "Bake, big"), related=(("FINISHTOSTART", "feed"),), color="gold"
)
THAW, TASK = entry("thaw", 30, location="Kitchen; left"), entry("task", 40, task=True, description="ä" * 200)
FOREIGN = (
    b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//x//EN\r\nBEGIN:VEVENT\r\nUID:dentist\r\nDTSTAMP:20270101T000000Z\r\n"
)
FOREIGN += b"DTSTART:20270316T100000Z\r\nSUMMARY:Bread: bake\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"


@pytest.fixture(params=["folder", "radicale", "xandikos"])
def store(request: pytest.FixtureRequest, tmp_path: Path) -> Writable:
    if request.param == "folder":
        return open_writable("folder", str(tmp_path), "Bread")
    server: DavServer = request.getfixturevalue(request.param)
    return open_writable("caldav", server.root + server.make(), "Bread", server.access)


def edit(store: Writable, uid: str, change: Callable[[str], str]) -> None:
    held = store.get(resource_for(uid))
    assert held is not None
    store.put(held.resource, change(held.data.decode().replace("\r\n ", "")).encode(), held.etag)


def test_the_story(store: Writable) -> None:
    journal = MemoryJournal()
    wanted = [BAKE, THAW, TASK]
    store.put("dentist.ics", FOREIGN, None)
    foreign = store.get("dentist.ics")
    assert publish(store, journal, wanted) == Done(added=("bake", "thaw", "task"))
    assert differ(store, journal, wanted).edits == ()
    assert publish(store, journal, wanted) == Done()

    edit(store, "bake", lambda text: set_line(text, "SUMMARY", "SUMMARY:Bread: bake (Oma)"))
    edit(store, "bake", lambda text: text.replace("TRIGGER:-PT15M", "TRIGGER:-PT15M\r\nACKNOWLEDGED:20270315T134600Z"))
    edit(store, "bake", lambda text: set_line(text, "X-MARK", 'X-MARK;X-BY="Jo; B":yes'))
    edit(store, "thaw", lambda text: set_line(text, "DTSTART", "DTSTART:20270317T080000Z"))
    edit(store, "task", lambda text: set_line(text, "STATUS", "STATUS:COMPLETED"))
    found = {(one.uid, one.kind) for one in differ(store, journal, wanted).edits}
    assert found == {("bake", "noted"), ("thaw", "moved"), ("task", "done")}

    wanted = [replace(BAKE, summary="Bread: two", start=BAKE.start + HOUR, end=BAKE.end + HOUR), TASK]
    assert publish(store, journal, wanted) == Done(changed=("bake",), removed=("thaw",))
    bake = store.get(resource_for("bake"))
    assert bake is not None
    text = bake.data.decode().replace("\r\n ", "")
    for kept in ("SUMMARY:Bread: two (Oma)", "ACKNOWLEDGED:20270315T134600Z", ":yes", "DTSTART:20270315T150000Z"):
        assert kept in text
    assert publish(store, journal, wanted) == Done()
    assert {uid for held in store.held() for uid in uids(held.data)} == {"dentist", "bake", "task"}
    assert store.get("dentist.ics") == foreign
