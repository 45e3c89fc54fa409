"""Faults at random, between a CalDAV store and a server with quirks at random: what the store says is what happened."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from calendars.canonical import same, says
from calendars.store import CalendarError, Held, Unsure, Writable, open_writable, resource_for
from tests.calendars.dav_front import COLLECTION, serving_dav
from tests.calendars.memory_server import MemoryServer, Quirks
from tests.calendars.proxy import HTML, MULTISTATUS, Fault, Proxy, between

Ics = Callable[..., bytes]
EVENT = "UID:{uid}\nDTSTAMP:20270101T000000Z\nDTSTART:20270316T100000Z\nDTEND:20270316T110000Z\nSUMMARY:{title}"
NAMES = ("a", "b")
PAGE = {"Content-Type": "text/html"}

Step = tuple[str, str, str, Fault, list[Fault]]
"""What is done, to which entry, what it says more than its title, and the faults of the write and of what is asked."""

NONE = Fault(forward=True)
writes = st.sampled_from([NONE] * 4) | st.builds(
    Fault,
    forward=st.booleans(),
    status=st.sampled_from([500, 502, 503, 504, 202, 302, 408]),
    headers=st.sampled_from([{}, {"ETag": ""}, {"ETag": 'W/"9"'}, PAGE]),
    drop=st.booleans(),
    body=st.sampled_from([None, HTML]),
)
refusals = st.builds(Fault, status=st.sampled_from([301, 400, 401, 403, 404, 409, 412, 423, 429, 503, 507]))
untagged = st.builds(Fault, forward=st.just(True), headers=st.sampled_from([{"ETag": ""}, {"ETag": 'W/"9"'}]))
looks = st.sampled_from([NONE] * 6) | st.builds(
    Fault,
    status=st.sampled_from([200, 207, 302, 401, 403, 404, 429, 500]),
    headers=st.sampled_from([{}, PAGE]),
    body=st.sampled_from([b"", HTML, MULTISTATUS, b"BEGIN:VCALENDAR\r\nBEGIN:VEV"]),
    drop=st.booleans(),
)
steps = st.tuples(
    st.sampled_from(["write", "write", "write", "create", "delete", "get", "held", "theirs"]),
    st.sampled_from(NAMES),
    st.sampled_from(["", "\nLOCATION:Kitchen", "\nLOCATION:Kitchen\nCOLOR:red", "\nCOLOR:blue"]),
    writes | refusals | untagged,
    st.lists(looks, max_size=3),
)
quirks = st.builds(Quirks, rewrites=st.booleans(), strong_tags=st.booleans(), batches=st.booleans())


@pytest.fixture(scope="module")
def served() -> Iterator[tuple[MemoryServer, Proxy]]:
    server = MemoryServer()
    with serving_dav(server) as address, between(address.removesuffix(COLLECTION)) as proxy:
        yield server, proxy


def run(served: tuple[MemoryServer, Proxy], ics: Ics, quirks: Quirks, story: list[Step]) -> None:
    server, proxy = served
    theirs = ics(EVENT.format(uid="theirs", title="Swimming"))
    server.quirks, server.resources, server.trash = quirks, {"theirs.ics": (0, theirs)}, set()
    server.log.clear()
    proxy.calm()
    store = open_writable("caldav", proxy.root + COLLECTION, "family")
    store.held()
    known: dict[str, str] = {}
    seen: dict[str, tuple[int, bytes]] = {}  # what was there when the tag was noted
    for what, uid, more, fault, after in story:
        name = resource_for(uid)
        data = ics(EVENT.format(uid=uid, title="Fold") + more)
        before = dict(server.resources)
        proxy.calm()
        proxy.order("PUT DELETE", fault)
        for look in after:
            proxy.order("GET PROPFIND REPORT", look)
        if what == "theirs":
            server.version += 1
            server.resources[name] = (server.version, data)
            continue
        error, held = outcome(store, what, name, data, known.get(name))
        if name in before and before[name] != (None if what == "create" else seen.get(name)):
            assert server.resources.get(name) == before[name]  # what was not seen is never written over
        if isinstance(error, Unsure):
            assert server.resources in (before, *_made(before, server, name, data, what))
        elif error is not None:
            assert server.resources == before, error
        else:
            there = server.resources.get(name)
            if what in ("create", "write"):
                assert isinstance(held, Held)
                assert there is not None
                if what == "write" and name in known and seen[name] == before.get(name):
                    assert same(there[1], data)
                assert says(there[1], data)  # what was there before and not known of may say more
                assert same(held.data, there[1])
                known[name], seen[name] = held.etag, there
            elif what == "delete":
                assert there is None
                known.pop(name, None)
                seen.pop(name, None)
            elif what == "get":
                assert (held is None) == (there is None)
                if isinstance(held, Held) and there is not None:
                    assert same(held.data, there[1])
                    known[name], seen[name] = held.etag, there
            else:
                assert isinstance(held, tuple)
                assert {each.resource for each in held} == set(server.resources)
                known = {each.resource: each.etag for each in held}
                seen = dict(server.resources)
        assert proxy.writes() <= 1
        assert server.resources["theirs.ics"] == (0, theirs)
    proxy.calm()
    for uid in NAMES:  # and when all is quiet, what is wanted can be written
        there = store.get(resource_for(uid))
        data = ics(EVENT.format(uid=uid, title="At last"))
        store.put(resource_for(uid), data, there.etag if there else None)
        assert says(server.resources[resource_for(uid)][1], data)
    assert len(store.held()) == 3


def outcome(
    store: Writable, what: str, name: str, data: bytes, etag: str | None
) -> tuple[CalendarError | None, Held | tuple[Held, ...] | None]:
    """Return the error and what came back."""
    try:
        match what:
            case "create":
                return None, store.put(name, data, None)
            case "write":
                return None, store.put(name, data, etag)
            case "delete":
                store.delete(name, etag or '"0"')
                return None, None
            case "get":
                return None, store.get(name)
            case _:
                return None, store.held()
    except CalendarError as error:
        return error, None


def _made(
    before: dict[str, tuple[int, bytes]], server: MemoryServer, name: str, data: bytes, what: str
) -> list[dict[str, tuple[int, bytes]]]:
    """Return what is there if an unsure write was made after all."""
    if what == "delete":
        return [{other: held for other, held in before.items() if other != name}]
    there = server.resources.get(name)
    return [before | {name: there}] if there is not None and same(there[1], data) else []


STORIES = settings(
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


@given(quirks=quirks, story=st.lists(steps, min_size=4, max_size=10))
@settings(STORIES, max_examples=30)
def test_what_the_store_says_is_what_happened(
    served: tuple[MemoryServer, Proxy], ics: Ics, quirks: Quirks, story: list[Step]
) -> None:
    run(served, ics, quirks, story)


@pytest.mark.long
@given(quirks=quirks, story=st.lists(steps, min_size=3, max_size=12))
@settings(STORIES, max_examples=500)
def test_what_the_store_says_is_what_happened_in_many_stories(
    served: tuple[MemoryServer, Proxy], ics: Ics, quirks: Quirks, story: list[Step]
) -> None:
    run(served, ics, quirks, story)
