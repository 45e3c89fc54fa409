"""The feed: what was published, for calendar programs that subscribe."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from fastapi.testclient import TestClient
from icalendar import Calendar

from calendars.reading import read_parts
from calendars.writing import Entry
from rotation import feed
from rotation.feed import Feed
from rotation.keys import Keys
from rotation.page.feed import OF_ONE_FEED, WRONG
from rotation.page.guard import Access
from tests.commands.conftest import Run, rotation
from tests.page.conftest import Open, Ticks
from tests.page.kitchen import Clock, Person
from tests.publishing.homes import NOW, lay_out

__all__ = ["rotation"]

FRIDAY = datetime.fromisoformat(f"{NOW}+01:00")


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a household that publishes into its feed alone: a thaw, a finish and a bake, with feeds for all and Jo."""
    from rotation.commands import run

    folder = lay_out(tmp_path_factory.mktemp("made") / "home", "")
    at = ["--household", str(folder)]
    assert run(["plan", *at, "--from", NOW, "--work", "quick"]) == 0
    assert run(["phones", "feed", *at]) == run(["phones", "feed", "jo", *at]) == 0
    assert run(["publish", *at, "--now", NOW, "--yes"]) == 0
    return folder


@pytest.fixture
def folder(published: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(published, tmp_path / "published"))


@pytest.fixture
def keys(folder: Path) -> Keys:
    return Keys(folder / ".rotation")


@pytest.fixture
def subscriber(opened: Open, folder: Path) -> TestClient:
    """A calendar program somewhere in the network; nobody paired it."""
    client = opened(Access(network=True), ("192.168.1.20", 1), folder)
    client.headers["host"] = "192.168.1.9:8377"
    return client


def address(keys: Keys, who: str = feed.ALL) -> str:
    return feed.path(feed.addresses(keys)[who])


def test_it_carries_what_was_published(subscriber: TestClient, keys: Keys) -> None:
    answer = subscriber.get(address(keys))
    assert (answer.status_code, answer.headers["content-type"]) == (200, "text/calendar; charset=utf-8")
    read = Calendar.from_ical(answer.content)
    assert [str(event["SUMMARY"]) for event in read.events] == [
        "Bread out: 1 Country loaf",
        "Bread: 1 Milk loaf (Jo)",
        "Oven 220: 1 Country loaf",
    ]
    assert not any(event.errors for event in read.walk())
    assert read["REFRESH-INTERVAL"].to_ical() == read["X-PUBLISHED-TTL"].to_ical() == b"PT6H"  # RFC 7986, 5.7
    assert read["REFRESH-INTERVAL"].params["VALUE"] == "DURATION"
    assert all(len(line) <= 75 for line in answer.content.split(b"\r\n"))  # RFC 5545, 3.1
    assert "set-cookie" not in answer.headers
    parts, window = [("feed.ics", answer.content)], (FRIDAY, FRIDAY + timedelta(days=3))
    ours = read_parts(parts, source="feed", zone=ZoneInfo("Europe/Berlin"), window=window)
    assert [event.summary for event in ours.events] == [str(event["SUMMARY"]) for event in read.events]
    assert ours.oddities == ()


def test_one_for_each_person_has_their_steps_alone(subscriber: TestClient, keys: Keys) -> None:
    text = subscriber.get(address(keys, "of jo")).content
    assert b"\r\nNAME:Bread\\, Jo\r\n" in text  # a TEXT, whose commas are escaped (RFC 7986, 5.1)
    read = Calendar.from_ical(text)
    titles = [str(event["SUMMARY"]) for event in read.events]
    assert any("Mix" in title for title in titles)
    assert len(titles) > 3


def test_who_has_it_already_is_told_so(subscriber: TestClient, keys: Keys) -> None:
    where = address(keys)
    tag = subscriber.get(where).headers["etag"]
    for known in (tag, f"W/{tag}", f'"other", {tag}', "*"):
        answer = subscriber.get(where, headers={"If-None-Match": known})
        assert (answer.status_code, answer.content, answer.headers["etag"]) == (304, b"", tag)
    assert subscriber.get(where, headers={"If-None-Match": '"other"'}).status_code == 200
    assert subscriber.head(where).headers["etag"] == tag
    assert subscriber.head(where).content == b""


def test_the_tag_changes_with_what_is_published_and_only_then(
    subscriber: TestClient, keys: Keys, folder: Path, rotation: Run
) -> None:
    where = address(keys)
    tag = subscriber.get(where).headers["etag"]
    assert rotation("publish", "--household", folder, "--now", NOW, "--yes").code == 0
    assert subscriber.get(where).headers["etag"] == tag
    calendar = folder / "calendars" / "family.ics"
    calendar.write_bytes(calendar.read_bytes().replace(b"Brunch", b"Late brunch"))
    for words in (["plan", "--from"], ["publish", "--yes", "--now"]):
        assert rotation(*words, NOW, "--household", folder).code == 0
    answer = subscriber.get(where)
    assert answer.headers["etag"] != tag
    changed = {str(event["SUMMARY"]): int(event["SEQUENCE"]) for event in Calendar.from_ical(answer.content).events}
    assert changed == {"Bread out: 1 Country loaf": 0, "Bread: 1 Milk loaf (Jo)": 1, "Oven 220: 1 Country loaf": 0}


def test_a_new_address_ends_the_old_one(subscriber: TestClient, keys: Keys, folder: Path, rotation: Run) -> None:
    old = address(keys)
    jo = address(keys, "of jo")
    ran = rotation("phones", "feed", "--renew", "--household", folder)
    assert ran.out.strip() == address(keys) != old
    assert subscriber.get(old).status_code == 404
    assert subscriber.get(ran.out.strip()).status_code == subscriber.get(jo).status_code == 200
    assert rotation("phones", "feed", "jo", "--close", "--household", folder).code == 0
    assert subscriber.get(jo).status_code == 404
    wrong = rotation("phones", "feed", "bo", "--household", folder)
    assert (wrong.code, wrong.out) == (2, "")
    assert "Say: all, jo." in wrong.err


@pytest.mark.parametrize("secret", ["x", "%2e%2e", "é", "a" * 32, "..%2f..%2fstock", "%00", "null"])
def test_a_wrong_address_leads_nowhere(subscriber: TestClient, secret: str) -> None:
    answer = subscriber.get(f"/feed/{secret}.ics")
    assert answer.status_code in (303, 404)
    assert b"VCALENDAR" not in answer.content


def test_who_is_wrong_or_asks_too_often_waits(subscriber: TestClient, keys: Keys, ticks: Ticks) -> None:
    where = address(keys)
    assert {subscriber.get(where).status_code for _ in range(OF_ONE_FEED.at_once)} == {200}
    answer = subscriber.get(where)
    assert (answer.status_code, answer.headers["retry-after"]) == (429, "60")
    assert subscriber.get(address(keys, "of jo")).status_code == 200
    assert [subscriber.get("/feed/wrong.ics").status_code for _ in range(WRONG.at_once + 1)][-2:] == [404, 429]
    ticks.now += 60
    assert subscriber.get(where).status_code == 200
    assert subscriber.get("/feed/wrong.ics").status_code == 404


def test_a_broken_household_goes_on_feeding(subscriber: TestClient, keys: Keys, folder: Path) -> None:
    before = subscriber.get(address(keys)).content
    (folder / "household.toml").write_text("[[[", encoding="utf-8")
    assert subscriber.get(address(keys)).content == before


def test_before_anything_is_published_it_is_empty_and_the_page_says_so(opened: Open, home: Path) -> None:
    keys = Keys(home / ".rotation")
    secret = feed.renew(keys, feed.ALL)
    browser = opened()
    read = Calendar.from_ical(browser.get(feed.path(secret)).content)
    assert (list(read.walk()), str(read["NAME"])) == ([read], "Bread")
    page = browser.get("/phones").text
    assert "Nothing is published yet" in page
    assert "A subscription only shows" in page
    assert f"webcal://localhost/feed/{secret}.ics" in page


def test_nowhere_to_write_and_no_feed_is_said(folder: Path, keys: Keys, rotation: Run) -> None:
    for who in list(feed.addresses(keys)):
        feed.close(keys, who)
    ran = rotation("publish", "--household", folder, "--now", NOW, "--yes")
    assert ran.code == 2
    assert "where entries are written" in ran.err


def test_the_page_publishes_into_the_feed_alone(folder: Path, keys: Keys) -> None:
    calendar = folder / "calendars" / "family.ics"
    calendar.write_bytes(calendar.read_bytes().replace(b"Brunch", b"Late brunch"))
    person = Person(folder, Clock("2027-03-05T17:30"))
    before = person.client.get(address(keys)).text
    person.work("/plan", work="quick")
    looked, html = person.work("/plan/look")
    assert "Feed: 1 entry new, changed or gone." in looked
    found = re.search(r'name="seen" value="([^"]+)"', html)
    assert found is not None
    assert "Feed: 1 entry new, changed or gone." in person.work("/plan/publish", seen=found[1])[0]
    after = person.client.get(address(keys)).text
    assert "Late brunch" in after
    assert "Late brunch" not in before
    assert "The calendars are as the plan says." in person.work("/plan/look")[0]


def entry(uid: str, day: int, summary: str = "Bread out") -> Entry:
    start = datetime(2027, 3, day, 8, tzinfo=UTC)
    return Entry(uid, summary, "", start, start + timedelta(hours=1), alarms=(timedelta(minutes=10),))


def kept(*entries: Entry) -> dict[str, Feed]:
    return {feed.ALL: Feed("Bread", entries)}


def read(text: str) -> Iterator[tuple[str, int, date | None]]:
    for one in feed._read(text)[feed.ALL].entries:
        yield one.uid, one.sequence, one.last_modified and one.last_modified.date()


def test_changes_are_counted_and_what_is_over_stays_for_two_weeks() -> None:
    first, tenth = datetime(2027, 3, 1, tzinfo=UTC), datetime(2027, 3, 10, tzinfo=UTC)
    one = feed.carried_on(None, kept(entry("a", 2), entry("b", 20), entry("c", 21)), first)
    assert list(read(one)) == [("a", 0, first.date()), ("b", 0, first.date()), ("c", 0, first.date())]
    assert feed.carried_on(one, kept(entry("a", 2), entry("b", 20), entry("c", 21)), tenth) == one
    two = feed.carried_on(one, kept(entry("b", 20, "moved"), entry("d", 22)), tenth)
    assert list(read(two)) == [("a", 0, first.date()), ("b", 1, tenth.date()), ("d", 0, tenth.date())]
    assert feed.news(one, two) == 3  # b changed, c gone, d new
    assert feed.news(None, one) == 3
    three = feed.carried_on(two, kept(), datetime(2027, 3, 16, 10, tzinfo=UTC))
    assert list(read(three)) == []  # a is over for two weeks, what was still to come was given up
    assert list(read(feed.carried_on("{", kept(entry("a", 2)), first))) == [("a", 0, first.date())]


def test_it_comes_back_from_text_as_it_was() -> None:
    said = replace(entry("a", 2, 'A "loaf" ✓ \\N; 2'), categories=("Bread",), related=(("FINISHTOSTART", "b"),))
    text = feed.carried_on(None, kept(said), datetime(2027, 3, 1, tzinfo=UTC))
    (back,) = feed._read(text)[feed.ALL].entries
    assert replace(back, last_modified=None) == said


def test_a_phone_that_subscribes_leaves_no_trace_of_its_key(
    subscriber: TestClient, keys: Keys, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def boom(*_: object) -> None:
        raise RuntimeError("something")

    monkeypatch.setattr("rotation.feed.document", boom)
    where = address(keys)
    answer = subscriber.get(where)
    said = capsys.readouterr()
    assert answer.status_code == 500
    assert "GET /feed/{secret}.ics" in said.err
    assert feed.addresses(keys)[feed.ALL] not in said.err + said.out + answer.text
