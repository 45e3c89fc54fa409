"""Whatever is sent to any address of the page, it answers; held against its own OpenAPI description by schemathesis."""

from __future__ import annotations

import multiprocessing.dummy
import shutil
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from fastapi.testclient import TestClient
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from schemathesis import Case

from rotation.page.app import create_app
from rotation.page.jobs import Jobs
from tests.doing.conftest import planned
from tests.page.conftest import NOW, Ticks, carried
from tests.page.kitchen import at

__all__ = ["planned"]

QUICK, LONG = 4, 120
LIKELY = {
    "name": ["sat-thaw", "sat-mix", "sat-oven", "sun-mix"],
    "named": ["A", "B"],
    "kind": ["country|part-baked", "milk|part-baked", "country"],
    "units": ["1", "0", "2", "-1", "1e9"],
    "count": ["1", "0"],
    "heads": ["4", "0"],
    "day": ["2027-03-07"],
    "at": ["10:00", "25:00", "15:20"],
    "bagged": ["2027-03-01", "2027-02-31"],
    "back": ["/", "//evil.example", "/\\evil.example", "https://evil.example"],
    "who": ["all", "of jo"],
}
"""What a page of ours would send, or nearly, by field."""


def description() -> dict[str, Any]:
    return create_app(Path("nowhere"), lambda: NOW).openapi()


OPERATIONS = [found.ok() for found in schemathesis.openapi.from_dict(description()).get_all_operations()]


@pytest.fixture
def browser(planned: Path, tmp_path: Path, ticks: Ticks, monkeypatch: pytest.MonkeyPatch) -> TestClient:
    """The browser of a household with a plan. What would be worked out for seconds fails at once."""

    def failed(to: Connection, *_: object) -> None:
        to.send(("failed", ["Not here."]))
        to.close()

    monkeypatch.setattr("rotation.page.jobs._in_process", failed)
    app = create_app(Path(shutil.copytree(planned, tmp_path / "any")), lambda: at("2027-03-06T12:00"), ticks=ticks)
    app.state.jobs = Jobs(multiprocessing.dummy)
    return TestClient(app, "http://localhost", client=("127.0.0.1", 1), follow_redirects=False)


def made_likely(case: Case, chance: st.DataObject, csrf: dict[str, str]) -> None:
    """Make a case one that a page of ours may send, in part, so that the view sees what else is in it."""
    for held in (case.path_parameters, case.body):
        for name in LIKELY if isinstance(held, dict) else ():
            if name in held and chance.draw(st.booleans()):
                held[name] = chance.draw(st.sampled_from(LIKELY[name]))
    if isinstance(case.body, dict):
        case.body |= csrf


@pytest.mark.parametrize("count", [QUICK, pytest.param(LONG, marks=pytest.mark.long)])
@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda one: f"{one.method.upper()} {one.path}")
def test_every_address_answers_whatever_is_sent(browser: TestClient, ticks: Ticks, operation: Any, count: int) -> None:
    @settings(
        derandomize=True, deadline=None, max_examples=count, database=None, phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(operation.as_strategy(), st.data(), st.sampled_from([True, True, True, False]))
    def answers(case: Case, chance: st.DataObject, ours: bool) -> None:
        ticks.now += 60
        if ours:
            made_likely(case, chance, carried(browser.get("/phones").text))
        said = case.as_transport_kwargs(base_url="http://localhost")
        answer = browser.request(said["method"], said["url"], params=said.get("params"), data=said.get("data"))
        assert answer.status_code < 500, answer.text
        assert answer.headers["content-security-policy"].startswith("default-src 'none'")
        where = answer.headers.get("location", "/")
        assert where.startswith("/")
        assert not where.startswith(("//", "/\\"))
        assert "evil.example" not in where

    answers()


def test_the_description_is_of_all_there_is() -> None:
    paths = set(description()["paths"])
    assert {"/", "/pair", "/phones", "/feed/{secret}.ics", "/freezer/take", "/step/{name}/done"} <= paths
    assert len(OPERATIONS) >= len(paths)
