"""A household with a plan, as its page is used by a person: what a browser shows, and what is tapped."""

from __future__ import annotations

import multiprocessing.dummy
import re
import shutil
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from html import unescape
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from fastapi.testclient import TestClient
from httpx2 import Response

from rotation.page.app import create_app
from rotation.page.jobs import Jobs
from tests.doing.conftest import planned as planned

SAID = r'<div class="said".*?</div>\s*(?:</div>)?'

SATURDAY = "2027-03-06T"


class Clock:
    """The time that a test says it is."""

    def __init__(self, said: str = f"{SATURDAY}06:00") -> None:
        self.now = at(said)

    def __call__(self) -> datetime:
        return self.now


def at(said: str) -> datetime:
    """Return a moment of Berlin in winter."""
    return datetime.fromisoformat(f"{said}:00+01:00").astimezone(UTC)


class Person:
    """One person with a browser that has no script. apart: work is done in processes of its own, not in threads."""

    def __init__(self, folder: Path, clock: Clock, *, apart: bool = False) -> None:
        self.clock, self.folder = clock, folder
        self.app = create_app(folder, clock)
        if not apart:
            self.app.state.jobs = Jobs(multiprocessing.dummy)
        self.client = TestClient(self.app, "http://localhost", follow_redirects=True)

    def see(self, path: str) -> str:
        """Return the words of a page."""
        answer = self.client.get(path)
        assert answer.status_code == 200, words(answer.text)
        return words(answer.text)

    def send(self, path: str, once: str = "", **fields: Any) -> Response:
        """Send a form from a page of ours, as a tap does; the answer is the page it leads to."""
        found = re.search(r'name="csrf" value="([^"]+)"', self.client.get("/freezer/add").text)
        assert found is not None
        return self.client.post(path, data={"csrf": found[1], "once": once or str(uuid4()), **fields})

    def tap(self, path: str, once: str = "", **fields: Any) -> str:
        """Return what the next page says happened."""
        answer = self.send(path, once, **fields)
        assert answer.status_code == 200, words(answer.text)
        found = re.search(SAID, answer.text, re.DOTALL)
        assert found is not None, words(answer.text)
        return words(found[0])

    def refused(self, path: str, **fields: Any) -> str:
        """Return why a form was refused; it is there to be sent again, under the same id."""
        once = str(uuid4())
        answer = self.send(path, once, **fields)
        assert answer.status_code == 409
        assert f'name="once" value="{once}"' in answer.text
        return words(answer.text)

    def work(self, path: str, **fields: Any) -> tuple[str, str]:
        """Begin what takes seconds, and wait for it; return the outcome as words and as HTML."""
        answer = self.send(path, **fields)
        where = answer.url.path
        while "refresh" in answer.headers:
            time.sleep(0.1)  # as a browser does, which loads the page again
            answer = self.client.get(where)
        assert answer.status_code == 200, words(answer.text)
        return words(answer.text), answer.text


def words(page: str) -> str:
    """Return what a page says, without tags."""
    body = re.sub(r"<(script|style|svg|nav).*?</\1>", " ", page.partition("<body>")[2] or page, flags=re.DOTALL)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", body)).split())


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def person(planned: Path, tmp_path: Path, clock: Clock) -> Iterator[Person]:
    folder = Path(shutil.copytree(planned, tmp_path / "home"))
    one = Person(folder, clock)
    with one.client:
        yield one
