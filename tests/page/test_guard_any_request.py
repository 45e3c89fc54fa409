"""Whatever is sent to any address of the page, it answers; held against its own OpenAPI description by schemathesis."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import schemathesis
from fastapi.testclient import TestClient
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from schemathesis import Case

from rotation.page.app import create_app
from tests.page.conftest import NOW, Ticks, carried

QUICK, LONG = 6, 300


def description() -> dict[str, Any]:
    return create_app(Path("nowhere"), lambda: NOW).openapi()


SCHEMA = schemathesis.openapi.from_dict(description())
OPERATIONS = [found.ok() for found in SCHEMA.get_all_operations()]


def ask(browser: TestClient, case: Case, ours: bool) -> Any:
    """Send a case; ours: as a form of a page of ours, so that the view sees what else is in it."""
    if ours and isinstance(case.body, dict):
        case.body = {**case.body, **carried(browser.get("/phones").text)}
    said = case.as_transport_kwargs(base_url="http://localhost")
    headers = {name: value.encode("utf-8", "replace") for name, value in (said.get("headers") or {}).items()}
    return browser.request(
        said["method"], said["url"], params=said.get("params"), data=said.get("data"), headers=headers
    )  # fmt: skip


@pytest.mark.parametrize("count", [QUICK, pytest.param(LONG, marks=pytest.mark.long)])
@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda one: f"{one.method.upper()} {one.path}")
def test_every_address_answers_whatever_is_sent(browser: TestClient, ticks: Ticks, operation: Any, count: int) -> None:
    @settings(
        derandomize=True, deadline=None, max_examples=count, database=None, phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(operation.as_strategy(), st.sampled_from([True, True, True, False]))
    def answers(case: Case, ours: bool) -> None:
        ticks.now += 60
        answer = ask(browser, case, ours)
        assert answer.status_code < 500, answer.text
        assert answer.headers["content-security-policy"].startswith("default-src 'none'")
        where = answer.headers.get("location", "/")
        assert where.startswith("/")
        assert not where.startswith(("//", "/\\"))

    answers()


def test_the_description_is_of_all_there_is() -> None:
    paths = set(description()["paths"])
    assert {"/", "/pair", "/phones", "/feed/{secret}.ics"} <= paths
    assert len(OPERATIONS) >= len(paths)
