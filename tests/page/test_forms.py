"""Every form that changes something carries the token of its page, and an id under which it counts once."""

from __future__ import annotations

import re
from pathlib import Path

from fastapi.dependencies.models import Dependant
from fastapi.routing import APIRoute
from fastapi.testclient import TestClient

from rotation.page import forms, rendering
from rotation.page.app import VIEWS

TEMPLATES = Path(rendering.__file__).with_name("templates")


def calls(dependant: Dependant) -> set[object]:
    return {dependant.call, *(call for inner in dependant.dependencies for call in calls(inner))}


def test_every_view_that_changes_something_asks_for_both() -> None:
    routes = [route for router in VIEWS for route in router.routes if isinstance(route, APIRoute)]
    assert routes
    for route in routes:
        assert route.methods <= {"GET", "POST", "HEAD"}
        if "POST" in route.methods:
            assert forms.once in calls(route.dependant), route.path


def test_every_form_of_a_template_carries_both() -> None:
    for path in TEMPLATES.glob("*.html"):
        for form in re.findall(r'<form[^>]*method="post".*?</form>', path.read_text(encoding="utf-8"), re.DOTALL):
            assert "carried()" in form or 'name="csrf"' in form, path.name


def test_a_form_that_fails_is_there_to_be_sent_again(browser: TestClient) -> None:
    browser.get("/")
    answer = browser.post("/nothing", data={"once": "0b", "bread": "<b>tin</b>", "csrf": "x"})
    assert answer.status_code == 404
    assert 'name="once" value="0b"' in answer.text
    assert 'name="bread" value="&lt;b&gt;tin&lt;/b&gt;"' in answer.text
    assert 'value="x"' not in answer.text
