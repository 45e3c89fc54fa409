"""Titles that want to be more than text, from calendars and from files, on every page and in the feed."""

from __future__ import annotations

import re
import shutil
from datetime import datetime
from html.parser import HTMLParser
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from icalendar import Calendar

from rotation import feed
from rotation.keys import Keys
from rotation.page.app import create_app
from tests.page.kitchen import Clock, Person
from tests.publishing.homes import NOW, lay_out

HOSTILE = (
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)>' onmouseover='alert(1)",
    "{{ 7 * 7 }} {% raw %} ${7*7} &lt;b&gt; javascript:alert(1)",
    "\u202egnp.eman\u202c \u200f\u2066isolated \ufeff",
    "\x1b[31mred\x1b[0m \x1b]0;title\x07 \x9b2J \x07\x08\x7f",
    "\\nEND:VEVENT\\nBEGIN:VEVENT\\nSUMMARY:another\\n",
    "long " * 2000,
)
SUPPER = datetime.fromisoformat("2027-03-06T17:50+01:00")
HARMFUL = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\u200e\u200f\ufeff]")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a planned and published household in which every name is hostile."""
    from rotation.commands import run

    folder = lay_out(tmp_path_factory.mktemp("made") / "home", "")
    family = folder / "calendars" / "family.ics"
    text = family.read_bytes().decode()
    for number, (title, meal) in enumerate((("Supper with friends", "supper"), ("Brunch", "brunch"))):
        hostile = " ".join([meal, *HOSTILE[number:], *HOSTILE[:number]])
        line = f"SUMMARY:{hostile}\r\nLOCATION:{hostile}\r\nDESCRIPTION:{hostile}"
        text = text.replace(f"SUMMARY:{title}", line)
    family.write_bytes(text.encode())
    for name, old, new in (
        ("household.toml", 'name = "Home"', r'name = "<script>alert(1)</script> \"home\""'),
        ("household.toml", 'id = "jo"', 'id = "jo"\nname = "Jo <img src=x onerror=alert(1)>"'),
        ("breads/country.toml", '"Country loaf"', r'"<b>Country</b> \" loaf"'),
    ):
        path = folder / name
        said = path.read_text(encoding="utf-8")
        assert old in said
        path.write_text(said.replace(old, new), encoding="utf-8")
    at = ["--household", str(folder)]
    for words in (["phones", "feed", *at], ["phones", "feed", "jo", *at], ["plan", *at, "--from", NOW]):
        assert run(words) == 0
    assert run(["publish", *at, "--now", NOW, "--yes"]) == 0
    return folder


class Page(HTMLParser):
    """What a browser would see in a page: where it leads, its text, and anything that is more than it should be."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.wrong: list[str] = []
        self.text = ""
        self.within = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        self.within = tag
        held = dict(attributes)
        self.wrong += [f"{tag} {name}" for name in held if name.startswith("on") or name == "style"]
        for name in ("src", "href", "action"):
            where = held.get(name)
            if where is not None and not re.match(r"(/(?!/)|#|webcal://localhost/feed/)", where):
                self.wrong.append(f"{tag} {name}={where}")
            if tag == "a" and where is not None and where.startswith("/"):
                self.links.append(where)
        if tag in ("script", "style") and not held.get("src"):
            self.wrong.append(tag)

    def handle_data(self, data: str) -> None:
        self.text += data


def crawled(browser: TestClient) -> dict[str, str]:
    """Return all pages that can be reached by following links, by address."""
    found: dict[str, str] = {}
    ahead = ["/", "/phones", "/nothing<script>"]
    ahead += [path for path in create_app(Path("nowhere"), lambda: SUPPER).openapi()["paths"] if "{" not in path]
    while ahead:
        path = ahead.pop().split("#")[0]
        if path in found:
            continue
        answer = browser.get(path)
        if answer.headers.get("content-type", "").startswith("text/html") and answer.status_code < 500:
            found[path] = answer.text
            ahead += Page(answer.text).links
    return found


@pytest.fixture
def folder(made: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(made, tmp_path / "hostile"))


@pytest.fixture
def browser_at_supper(folder: Path) -> TestClient:
    app = create_app(folder, lambda: SUPPER)
    return TestClient(app, "http://localhost", client=("127.0.0.1", 1), follow_redirects=False)


def test_no_page_takes_a_title_for_more_than_text(folder: Path, browser_at_supper: TestClient) -> None:
    pages = crawled(browser_at_supper)
    assert {"/", "/phones"} <= set(pages)
    person = Person(folder, Clock("2027-03-06T17:50"))
    pages |= {path: person.work(path)[1] for path in ("/calendars/look", "/plan/look")}
    for path, text in pages.items():
        page = Page(text)
        assert page.wrong == [], path
        assert not HARMFUL.search(text), (path, HARMFUL.search(text))
        assert "<b>" not in text
        assert len(max(page.text.split("\n"), key=len)) < 2000, path
    assert any("<script>alert(1)</script>" in Page(text).text for text in pages.values())  # it is there, as text


def test_no_feed_takes_a_title_for_more_than_text(folder: Path, browser_at_supper: TestClient) -> None:
    for secret in feed.addresses(Keys(folder / ".rotation")).values():
        data = browser_at_supper.get(feed.path(secret)).content
        text = data.decode()
        assert not HARMFUL.search(text.replace("\r\n", ""))
        assert all(len(line) <= 75 for line in data.split(b"\r\n"))
        read = Calendar.from_ical(data)
        assert "another" not in [str(event["SUMMARY"]) for event in read.events]
        assert all(len(str(event["SUMMARY"])) <= 500 for event in read.events)
        assert not any(event.errors for event in read.walk())
        assert any("<script>alert(1)</script>" in str(event.get("DESCRIPTION")) for event in read.events)
