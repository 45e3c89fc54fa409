"""What a server, or something between, does to an exchange, and what the store makes of it: with Radicale behind."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from calendars.canonical import same, says
from calendars.store import (
    Busy,
    CalendarError,
    Changed,
    Held,
    MissingCalendar,
    Refused,
    UnreadableCalendar,
    Unsure,
    Writable,
    open_writable,
    resource_for,
)
from tests.calendars.proxy import ALWAYS, HTML, MULTISTATUS, Fault, Proxy, between
from tests.calendars.servers import DavServer

Ics = Callable[..., bytes]
Window = tuple[datetime, datetime]
EVENT = "UID:{uid}\nDTSTAMP:20270101T000000Z\nDTSTART:20270316T100000Z\nDTEND:20270316T110000Z\nSUMMARY:{title}"
A = resource_for("a")
PAGE = {"Content-Type": "text/html", "ETag": '"page"'}
PATIENT_S, HURRIED_S, SLOW_S = 20.0, 1.0, 3.0
"""Seconds: how long an answer is waited for, as the real server may be busy; where it is meant to be too slow; that."""


@dataclass(frozen=True)
class Case:
    """A fault of a write, a fault of all that is asked afterwards, and what has to come of it.

    raises: the error, exactly; None if the write has to be known as made. made: whether it was.
    """

    fault: Fault
    raises: type[CalendarError] | None
    looks: Fault | None = None

    @property
    def made(self) -> bool:
        return self.fault.forward


STORED, LOST = Fault(forward=True), Fault()
WRITES = {
    "nothing": Case(STORED, None),
    "stored but 500": Case(Fault(forward=True, status=500), None),
    "500": Case(Fault(status=500), CalendarError),
    "stored but 500, then nothing can be seen": Case(Fault(forward=True, status=500), Unsure, Fault(status=500)),
    "500, then nothing can be seen": Case(Fault(status=500), Unsure, Fault(drop=True)),
    "stored but 502": Case(Fault(forward=True, status=502), None),
    "504, perhaps still at work": Case(Fault(status=504), Unsure),
    "stored but dropped": Case(Fault(forward=True, drop=True), None),
    "dropped": Case(Fault(drop=True), CalendarError),
    "stored but dropped, then nothing can be seen": Case(Fault(forward=True, drop=True), Unsure, Fault(drop=True)),
    "stored but dropped, then 401": Case(Fault(forward=True, drop=True), Unsure, Fault(status=401)),
    "stored but dropped, then busy": Case(Fault(forward=True, drop=True), Unsure, Fault(status=429)),
    "stored but dropped, then a web page": Case(
        Fault(forward=True, drop=True), Unsure, Fault(status=200, headers=PAGE, body=HTML)
    ),
    "stored but the answer is cut": Case(Fault(forward=True, status=201, body=b"x" * 90, keep=9), None),
    "stored but slow": Case(Fault(forward=True, wait=SLOW_S), None),
    "slow": Case(Fault(status=500, wait=SLOW_S), Unsure),
    "302": Case(Fault(status=302, headers={"Location": "/elsewhere"}), Refused),
    "302 to another host": Case(Fault(status=302, headers={"Location": "https://other.example/"}), Refused),
    "301 to itself": Case(Fault(status=301, headers={"Location": ""}), Refused),
    "307": Case(Fault(status=307, headers={"Location": "/elsewhere"}), Refused),
    "stored but 302": Case(Fault(forward=True, status=302, headers={"Location": "/elsewhere"}), None),
    "302, then nothing can be seen": Case(Fault(status=302), Unsure, Fault(status=302)),
    "stored but 302, then nothing can be seen": Case(Fault(forward=True, status=302), Unsure, Fault(status=500)),
    "400": Case(Fault(status=400), Refused),
    "401": Case(Fault(status=401), Refused),
    "401 for everything": Case(Fault(status=401), Refused, Fault(status=401)),
    "403": Case(Fault(status=403), Refused),
    "404": Case(Fault(status=404), Refused),
    "404 for everything": Case(Fault(status=404), Refused, Fault(status=404)),
    "405": Case(Fault(status=405), Refused),
    "409": Case(Fault(status=409), Refused),
    "412": Case(Fault(status=412), Refused),
    "413": Case(Fault(status=413), Refused),
    "423": Case(Fault(status=423), Busy),
    "429": Case(Fault(status=429, headers={"Retry-After": "17"}), Busy),
    "503 with a time": Case(Fault(status=503, headers={"Retry-After": "17"}), Busy),
    "503 with a time for everything": Case(
        Fault(status=503, headers={"Retry-After": "17"}), Busy, Fault(status=503, headers={"Retry-After": "17"})
    ),
    "503": Case(Fault(status=503), Busy),
    "503 for everything": Case(Fault(status=503), Unsure, Fault(status=503)),
    "stored but 503": Case(Fault(forward=True, status=503), None),
    "507": Case(Fault(status=507), Refused),
    "a web page with 200": Case(Fault(status=200, headers=PAGE, body=HTML), CalendarError),
    "a web page with 200 for everything": Case(
        Fault(status=200, headers=PAGE, body=HTML), Unsure, Fault(status=200, headers=PAGE, body=HTML)
    ),
    "stored but a web page with 200": Case(Fault(forward=True, status=200, headers=PAGE, body=HTML), None),
    "stored but 202": Case(Fault(forward=True, status=202), None),
    "202": Case(Fault(status=202), Unsure),
    "200 that is not true": Case(Fault(status=200), Unsure),
}
PUTS = {
    "stored, no tag": Case(Fault(forward=True, headers={"ETag": ""}), None),
    "stored, weak tag": Case(Fault(forward=True, headers={"ETag": 'W/"1"'}), None),
    "stored, tag without quotes": Case(Fault(forward=True, headers={"ETag": "1"}), None),
    "stored, no tag, then nothing can be seen": Case(
        Fault(forward=True, headers={"ETag": ""}), Unsure, Fault(status=500)
    ),
    "201 that is not true": Case(Fault(status=201), Unsure),
}


QUICK = {
    *("nothing", "stored but 500", "500", "stored but 500, then nothing can be seen", "stored but dropped", "dropped"),
    *("slow", "302", "401", "403", "404", "409", "412", "429", "503", "a web page with 200", "stored but slow"),
    *("stored, no tag", "stored, weak tag"),
}
QUICK_READS = {"empty multistatus", "cut XML", "web page", "302 to another host", "401", "429"}
"""The faults that happen every day; the others only in the long suite."""


def some(names: Iterable[str], quick: set[str]) -> list[object]:
    """Return the faults for a test, those not among the quick ones marked long."""
    return [name if name in quick else pytest.param(name, marks=pytest.mark.long) for name in names]


@pytest.fixture(scope="module")
def proxy(radicale: DavServer) -> Iterator[Proxy]:
    with between(radicale.root) as proxy:
        yield proxy


@dataclass(frozen=True)
class House:
    """A calendar behind the proxy that holds another's entry, a store on it, and who can look past the proxy."""

    store: Writable
    proxy: Proxy
    server: DavServer
    path: str
    patience: Callable[[float], None]

    def order(self, methods: str, fault: Fault, times: int = 1) -> None:
        """Spoil the next requests of these methods, and wait for answers only as long as is needed to see it."""
        self.patience(HURRIED_S if fault.wait else PATIENT_S)
        self.proxy.order(methods, fault, times)

    def there(self, resource: str = A) -> bytes | None:
        return self.server.load(self.path, resource)

    def fresh(self) -> Writable:
        return open_writable("caldav", self.proxy.root + self.path, "family", self.server.access)


@pytest.fixture
def house(proxy: Proxy, radicale: DavServer, ics: Ics, monkeypatch: pytest.MonkeyPatch) -> Iterator[House]:
    def patience(seconds: float) -> None:
        monkeypatch.setattr("calendars.dav_line.TIMEOUTS_S", (PATIENT_S, seconds))

    patience(PATIENT_S)
    proxy.calm()
    path = radicale.make()
    radicale.store(path, "theirs.ics", ics(EVENT.format(uid="theirs", title="Swimming")))
    store = open_writable("caldav", proxy.root + path, "family", radicale.access)
    house = House(store, proxy, radicale, path, patience)
    before = house.there("theirs.ics")
    yield house
    assert house.there("theirs.ics") == before


def entry(ics: Ics, title: str = "Fold") -> bytes:
    return ics(EVENT.format(uid="a", title=title))


def outcome(house: House, case: Case, act: Callable[[], object]) -> object:
    """Act under the fault; hold the error to what it has to be; return what came back."""
    house.proxy.calm()
    if case.looks is not None:
        house.order("GET PROPFIND REPORT", case.looks, ALWAYS)
    house.order("PUT DELETE", case.fault)
    result: object = None
    if case.raises is None:
        result = act()
    else:
        with pytest.raises(CalendarError) as caught:
            act()
        assert type(caught.value) is case.raises, caught.value
        text = str(caught.value)
        assert "family on 127.0.0.1" in text
        assert "crumb" not in text
        assert house.path not in text
        if isinstance(caught.value, Busy) and "Retry-After" in case.fault.headers:
            assert caught.value.retry_after == 17
    sent = [(method, forwarded) for method, _, forwarded in house.proxy.log if method in ("PUT", "DELETE")]
    assert sum(forwarded for _, forwarded in sent) == case.made
    assert len(sent) == 1
    house.proxy.calm()
    return result


@pytest.mark.parametrize("name", some([*WRITES, *PUTS], QUICK))
def test_a_create(name: str, house: House, ics: Ics) -> None:
    case, data = (WRITES | PUTS)[name], entry(ics)
    house.store.get("first.ics")  # signed in, as a run that has read is
    held = outcome(house, case, lambda: house.store.put(A, data, None))
    assert (house.there() is not None) == case.made
    if case.made:
        assert says(house.there() or b"", data)
    again = house.fresh().put(A, data, None)
    assert [each.resource for each in house.store.held()] == sorted([A, "theirs.ics"])
    assert isinstance(held, Held) or case.raises
    if isinstance(held, Held):
        assert held == again or (same(held.data, again.data) and held.etag == again.etag)
        house.store.put(A, entry(ics, "Shape"), held.etag)


@pytest.mark.parametrize("name", some([*WRITES, *PUTS], QUICK))
def test_an_update(name: str, house: House, ics: Ics) -> None:
    case, old, new = (WRITES | PUTS)[name], entry(ics), entry(ics, "Shape")
    made = house.store.put(A, old, None)
    held = outcome(house, case, lambda: house.store.put(A, new, made.etag))
    assert says(house.there() or b"", new if case.made else old)
    there = house.store.get(A)
    assert there is not None
    assert (there.etag != made.etag) == case.made
    if isinstance(held, Held):
        assert held.etag == there.etag
    assert house.store.put(A, entry(ics, "Bake"), there.etag).etag != there.etag
    assert len(house.store.held()) == 2


@pytest.mark.parametrize("name", some(WRITES, QUICK))
def test_a_removal(name: str, house: House, ics: Ics) -> None:
    case = WRITES[name]
    made = house.store.put(A, entry(ics), None)
    outcome(house, case, lambda: house.store.delete(A, made.etag))
    assert (house.there() is None) == case.made
    house.store.delete(A, made.etag)
    assert [each.resource for each in house.store.held()] == ["theirs.ics"]


@pytest.mark.parametrize(
    "fault", [Fault(drop=True), Fault(status=500), Fault(status=412), Fault(wait=SLOW_S, status=500)]
)
def test_a_reply_lost_while_another_writes(fault: Fault, house: House, ics: Ics) -> None:
    """The write did not arrive, and what is seen afterwards is another's: theirs stays, and we are told."""
    made = house.store.put(A, entry(ics), None)
    theirs = entry(ics, "Theirs")
    house.server.store(house.path, A, theirs)
    for act in (
        lambda: house.store.put(A, entry(ics, "Shape"), made.etag),
        lambda: house.store.put(A, entry(ics, "Shape"), None),
        lambda: house.store.delete(A, made.etag),
    ):
        house.order("PUT DELETE", fault)
        with pytest.raises(Changed):
            act()
    assert says(house.there() or b"", theirs)


@pytest.mark.parametrize("fault", [Fault(status=500), Fault(drop=True)])
def test_taking_something_out_of_an_entry_is_not_done_because_the_rest_is_there(
    fault: Fault, house: House, ics: Ics
) -> None:
    full = ics(EVENT.format(uid="a", title="Fold") + "\nLOCATION:Kitchen")
    made = house.store.put(A, full, None)
    house.order("PUT", fault)
    with pytest.raises(CalendarError, match=r"Nothing was written|a fault of its own"):
        house.store.put(A, entry(ics), made.etag)
    assert same(house.there() or b"", full)


def test_a_tag_that_is_not_the_entry_s_harms_nothing(house: House, ics: Ics) -> None:
    house.order("PUT", Fault(forward=True, headers={"ETag": '"another"'}))
    held = house.store.put(A, entry(ics), None)
    assert held.etag == '"another"'
    with pytest.raises(Changed):
        house.store.put(A, entry(ics, "Shape"), held.etag)
    with pytest.raises(Changed):
        house.store.delete(A, held.etag)
    assert says(house.there() or b"", entry(ics))


def test_a_conflict_of_uids_is_told_as_one(house: House, ics: Ics) -> None:
    house.store.put(A, entry(ics), None)
    with pytest.raises(Refused, match="another entry of the same UID"):
        house.store.put(resource_for("other"), entry(ics), None)


READS: dict[str, tuple[Fault, type[CalendarError], str]] = {
    "web page": (Fault(status=200, headers=PAGE, body=HTML), UnreadableCalendar, "web page"),
    "web page as a multistatus": (Fault(status=207, headers=PAGE, body=HTML), UnreadableCalendar, "web page"),
    "nothing with 207": (Fault(status=207, body=b""), UnreadableCalendar, "cut off or no XML"),
    "nothing with 200": (Fault(status=200, body=b""), UnreadableCalendar, "web page or the like"),
    "empty multistatus": (Fault(status=207, body=MULTISTATUS), UnreadableCalendar, "nothing of the calendar itself"),
    "cut XML": (Fault(status=207, body=MULTISTATUS[:-9]), UnreadableCalendar, "cut off or no XML"),
    "another XML": (Fault(status=207, body=b"<a/>"), UnreadableCalendar, "something else than was asked"),
    "cut answer": (Fault(forward=True, keep=50), CalendarError, "connection dropped"),
    "dropped": (Fault(drop=True), CalendarError, "connection dropped"),
    "slow": (Fault(forward=True, wait=SLOW_S), CalendarError, "does not answer in time"),
    "302 in a circle": (
        Fault(status=302, headers={"Location": "x/"}),
        UnreadableCalendar,
        "from address to address",
    ),
    "302 to another host": (
        Fault(status=302, headers={"Location": "https://other.example/cal"}),
        Refused,
        "moved to https://other.example",
    ),
    "302 to nowhere": (Fault(status=302), Refused, "moved"),
    "401": (Fault(status=401), Refused, "user and password"),
    "403": (Fault(status=403), Refused, "does not allow"),
    "404": (Fault(status=404), MissingCalendar, "nothing at its address"),
    "410": (Fault(status=410), MissingCalendar, "nothing at its address"),
    "400": (Fault(status=400), Refused, r"refuses it \(400\)"),
    "429": (Fault(status=429, headers={"Retry-After": "17"}), Busy, "in 17 s"),
    "429 with a date": (
        Fault(status=429, headers={"Retry-After": "Wed, 21 Oct 2026 07:28:00 GMT"}),
        Busy,
        "later|in 0 s",
    ),
    "429 with nonsense": (Fault(status=429, headers={"Retry-After": "soon"}), Busy, "try again later"),
    "503": (Fault(status=503), Busy, "try again later"),
    "500": (Fault(status=500), CalendarError, "a fault of its own"),
    "entities": (
        Fault(status=207, body=b'<!DOCTYPE x [<!ENTITY e "e">]>' + MULTISTATUS),
        UnreadableCalendar,
        "web page",
    ),
}


@pytest.mark.parametrize("name", some(READS, QUICK_READS))
def test_what_cannot_be_read_is_never_empty(
    name: str,
    house: House,
    ics: Ics,
    window: Window,
    home: ZoneInfo,
) -> None:
    fault, kind, words = READS[name]
    house.store.put(A, entry(ics), None)
    asked = "PROPFIND REPORT GET OPTIONS"
    for store in (house.store, house.fresh()):
        for act in (store.held, lambda store=store: store.read(window, home), lambda store=store: store.get(A)):
            house.order(asked, fault, ALWAYS)
            with pytest.raises(CalendarError) as caught:
                act()
            house.proxy.calm()
            text = str(caught.value)
            assert "127.0.0.1" in text or A in text
            assert "crumb" not in text
        house.order(asked, fault, ALWAYS)
        with pytest.raises(kind, match=words) as caught:
            store.held()
        assert type(caught.value) is kind
        house.proxy.calm()
    assert len(house.store.held()) == 2


@pytest.mark.parametrize("name", some(READS, QUICK_READS))
def test_texts_are_fetched_one_by_one_where_they_do_not_come_together(name: str, house: House, ics: Ics) -> None:
    fault, kind, _ = READS[name]
    house.store.put(A, entry(ics), None)
    house.order("REPORT", fault, ALWAYS)
    if kind is Busy:
        with pytest.raises(Busy):
            house.store.held()
    else:
        assert [each.resource for each in house.store.held()] == sorted([A, "theirs.ics"])


@pytest.mark.parametrize("name", some((name for name in READS if READS[name][1] is not Busy), QUICK_READS))
def test_a_window_that_the_server_does_not_give_is_cut_from_the_whole(
    name: str,
    house: House,
    ics: Ics,
    window: Window,
    home: ZoneInfo,
) -> None:
    house.store.put(A, entry(ics), None)
    wanted = house.store.read(window, home)
    assert len(wanted.events) == 2
    house.order("REPORT", READS[name][0], ALWAYS)
    assert house.store.read(window, home) == wanted


def test_one_dropped_question_is_asked_again(house: House) -> None:
    house.order("PROPFIND", Fault(drop=True))
    house.order("REPORT", Fault(forward=True, keep=50))
    assert len(house.store.held()) == 1
    house.order("GET", Fault(drop=True))
    assert house.store.get("theirs.ics")


def test_an_entry_listed_but_not_shown_is_not_gone(house: House) -> None:
    house.store.held()
    house.order("GET", Fault(status=404))
    with pytest.raises(UnreadableCalendar, match="lists an entry, but does not show it"):
        house.store.get("theirs.ics")


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (b"", "web page"),
        (b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:th", "cut off"),
        (HTML, "web page"),
    ],
)
def test_an_entry_that_is_none_is_not_taken_for_one(body: bytes, words: str, house: House) -> None:
    house.order("GET", Fault(status=200, body=body))
    with pytest.raises(UnreadableCalendar, match=words):
        house.store.get("theirs.ics")


MULTI = '<?xml version="1.0"?><D:multistatus xmlns:D="DAV:" xmlns:C="urn:ietf:params:xml:ns:caldav">{}</D:multistatus>'
ITSELF = (
    "<D:response><D:href>{path}</D:href><D:propstat><D:prop><D:resourcetype><D:collection/><C:calendar/>"
    "</D:resourcetype></D:prop><D:status>HTTP/1.1 200 OK</D:status></D:propstat></D:response>"
)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ("<D:response><D:href>/other/x.ics</D:href></D:response>", "not in this calendar"),
        ("<D:response><D:href>{path}x/y.ics</D:href></D:response>", "not in this calendar"),
        ("<D:response><D:href/></D:response>", "without saying of which entry"),
        ("<D:response><D:href>{path}x.ics</D:href><D:status>nonsense</D:status></D:response>", "a status that is none"),
        ("<D:response><D:href>{path}</D:href><D:status>HTTP/1.1 507 Full</D:status></D:response>", "only a part"),
        ("<D:response><D:href>{path}x.ics</D:href><D:status>HTTP/1.1 403 No</D:status></D:response>", "does not show"),
        (
            "<D:response><D:href>{path}x.ics</D:href><D:propstat><D:prop/><D:status>HTTP/1.1 500 No</D:status>"
            "</D:propstat></D:response>",
            "fails at a part",
        ),
    ],
)
def test_a_listing_that_is_not_whole_is_not_believed(more: str, words: str, house: House) -> None:
    body = MULTI.format(ITSELF + more).replace("{path}", house.path).encode()
    house.store.held()
    house.order("PROPFIND", Fault(status=207, body=body))
    with pytest.raises(UnreadableCalendar, match=words):
        house.store.held()


def test_a_calendar_that_says_it_is_none_any_more(house: House) -> None:
    house.store.held()
    body = MULTI.format(ITSELF.replace("<C:calendar/>", "")).replace("{path}", house.path).encode()
    house.order("PROPFIND", Fault(status=207, body=body))
    with pytest.raises(MissingCalendar, match="write the address of one of its calendars"):
        house.store.held()


def test_too_much_is_refused(house: House, monkeypatch: pytest.MonkeyPatch, ics: Ics) -> None:
    house.store.put(A, entry(ics), None)
    monkeypatch.setattr("calendars.dav.MOST_ENTRIES", 1)
    with pytest.raises(UnreadableCalendar, match="holds 2 entries; at most 1"):
        house.store.held()
    monkeypatch.setattr("calendars.dav.MOST_ENTRIES", 9)
    monkeypatch.setattr("calendars.dav.LARGEST_FILE_BYTES", 300)
    with pytest.raises(UnreadableCalendar, match="has more than 0 MB"):
        house.store.held()
    monkeypatch.setattr("calendars.dav_line.LARGEST_FILE_BYTES", 300)
    with pytest.raises(CalendarError, match="answers with more than 0 MB"):
        house.store.held()


def test_many_entries_come_in_turns(house: House, monkeypatch: pytest.MonkeyPatch, ics: Ics) -> None:
    monkeypatch.setattr("calendars.dav.AT_ONCE", 2)
    for uid in "bcdef":
        house.store.put(resource_for(uid), ics(EVENT.format(uid=uid, title="Fold")), None)
    house.proxy.calm()
    assert len(house.store.held()) == 6
    assert [method for method, _, _ in house.proxy.log] == ["PROPFIND", "REPORT", "REPORT", "REPORT"]
