"""One page of the kitchen: its template with what every page has, the line of what just happened among it."""

from __future__ import annotations

from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse

from rotation.page.rendering import page
from rotation.page.said import said_before

OWN_PATH = r"^/(?:[a-z0-9-]+(?:/[A-Za-z0-9._:@ -]{1,120})*)?$"
"""Where a form may lead back to: a page of ours."""


def view(
    request: Request, template: str, title: str, /, *, refresh: int | None = None, status: int = 200, **values: Any
) -> HTMLResponse:
    """Answer with a page. refresh: seconds after which a browser is to load it again by itself."""
    said = None if "said" in values else said_before(request)
    answer = page(request, template, status, title=title, **{"said": said, **values})
    if refresh is not None and "still" not in request.query_params:
        answer.headers["Refresh"] = str(refresh)
    return answer
