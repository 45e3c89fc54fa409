"""Many at once, lost replies, a program killed in the middle of writing: nothing lost, nothing doubled."""

from __future__ import annotations

import json
import random
import subprocess
import sys
import threading
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import UUID

import httpx2 as httpx
import pytest

from rotation.ledger import Kind, Ledger
from rotation.templates import Answers, laid_out
from tests.page.conftest import Open, carried
from tests.page.program import Served, served

LOAD = Path(__file__).with_name("load.py")
BAGS, KIND = 4 * [2000], "rolls|part-baked"


@pytest.fixture
def full(tmp_path: Path) -> Path:
    """Return a household with a freezer full of rolls, as of the real day: the program looks at the clock."""
    folder = tmp_path / "full"
    answers = Answers(datetime.now(UTC).date() - timedelta(days=2), in_freezer=tuple(("rolls", bag) for bag in BAGS))
    for name, text in laid_out(answers).items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def ids(seed: int) -> Iterator[str]:
    chance = random.Random(seed)
    while True:
        yield str(UUID(int=chance.getrandbits(128)))


def nothing_lost(folder: Path, told: list[str]) -> None:
    """Look into the ledger: each id that was told is there once, nothing else is, and the sum is exact."""
    with Ledger.open(folder / ".rotation", readonly=True) as ledger:
        history = ledger.history()
        taken = [movement.id for movement in history if movement.kind is Kind.TAKEN]
        assert len(told) == len(set(told)) > 0
        assert sorted(taken) == sorted(told)
        left = sum(state.left for state in ledger.lots(datetime.now(UTC)) if state.lot.bread == "rolls")
        assert left == sum(BAGS) - len(told)
        assert sum(movement.units for movement in history) == left


def test_two_tabs_and_three_phones_at_once(opened: Open, full: Path) -> None:
    browser = opened(at=full)
    assert browser.app is not None
    form = carried(browser.get("/freezer").text)
    wrong: list[int] = []

    def tap(number: int) -> None:
        for once in mine[number]:
            for _ in range(2):  # each is sent again at once, as an impatient thumb does
                data = {**form, "once": once, "kind": KIND, "units": "1"}
                status = browser.post("/freezer/take", data=data).status_code
                wrong.extend([status] if status != 303 else [])

    mine = [[once for once, _ in zip(ids(number), range(8), strict=False)] for number in range(5)]
    mine.append(mine[0])  # the same page, open twice
    threads = [threading.Thread(target=tap, args=[number]) for number in range(len(mine))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert wrong == []
    nothing_lost(full, [once for one in mine[:5] for once in one])


class Phone:
    """A browser that keeps its cookie, and knows which of its taps were answered."""

    def __init__(self) -> None:
        self.told: list[str] = []
        self.headers: dict[str, str] = {"host": "localhost"}
        self.csrf = ""

    def open(self, program: Served) -> None:
        self.client = program.browser()
        self.client.headers.update(self.headers)
        if not self.csrf:
            page = self.client.get("/freezer")
            self.csrf, cookie = carried(page.text)["csrf"], page.headers["set-cookie"].split(";")[0]
            self.headers["cookie"] = self.client.headers["cookie"] = cookie

    def tap(self, once: str) -> None:
        data = {"csrf": self.csrf, "once": once, "kind": KIND, "units": "1"}
        assert self.client.post("/freezer/take", data=data).status_code == 303
        self.told.append(once)

    def tap_on(self, fresh: Iterator[str]) -> str:
        """Tap until nobody answers; return the tap of which it is not known what came of it."""
        for once in fresh:
            try:
                self.tap(once)
            except httpx.TransportError:
                break
        self.client.close()
        return once


@pytest.mark.parametrize("kills", [1, pytest.param(25, marks=pytest.mark.long)])
def test_a_program_killed_while_it_writes_has_lost_nothing_that_it_told(full: Path, kills: int) -> None:
    chance, fresh, phone = random.Random(20270301), ids(1), Phone()
    port, unsure = 0, ""
    for kill in range(kills + 1):
        with served(full, "--port", str(port)) as program:
            port = program.port
            phone.open(program)
            if unsure:
                phone.tap(unsure)  # sent again, under its id
            if kill < kills:
                end = threading.Timer(0.05 + chance.random() / 4, program.process.kill)
                end.start()
                unsure = phone.tap_on(fresh)
                end.join()
    phone.client.close()
    nothing_lost(full, phone.told)


@pytest.mark.long
def test_fifty_phones_for_a_while(full: Path) -> None:
    with served(full) as program:
        said = lived(program.port, phones=50, seconds=10, think_ms=1000)
        assert said["wrong"] == []
        assert len(said["pages"]) > 100
    nothing_lost(full, said["taps"])


def lived(port: int, phones: int, seconds: int, think_ms: int, seed: str = "") -> dict[str, list[str]]:
    """Return what phones in a process of their own met."""
    words = [sys.executable, str(LOAD), *map(str, (port, phones, seconds, think_ms)), KIND, seed]
    done = subprocess.run(words, capture_output=True, text=True, check=True)
    found: dict[str, list[str]] = json.loads(done.stdout)
    return found
