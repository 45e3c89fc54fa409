"""What a page says when something does not work: in plain words, and with the form to send again."""

from __future__ import annotations

import sys
import traceback
from urllib.parse import parse_qsl
from uuid import uuid4

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import HTMLResponse
from starlette.exceptions import HTTPException
from starlette.types import Scope

from calendars.store import CalendarError
from calendars.text import clean_lines
from rotation.errors import BadInput, RotationError, StorageError
from rotation.page.kitchen import Broken
from rotation.page.plain import plain_error
from rotation.page.rendering import page

NOT_THERE = "There is no such page."
NOT_WHOLE = "What was sent was not whole, or not what is asked for here."
FAULT = "Something went wrong here that should not have. Perhaps it was not recorded: try again, it counts once."
MOST_FIELDS = 40


def told(app: FastAPI) -> None:
    """Have an app say what went wrong as pages."""
    app.add_exception_handler(RotationError, _rotation)
    app.add_exception_handler(CalendarError, _rotation)
    app.add_exception_handler(HTTPException, _http)
    app.add_exception_handler(RequestValidationError, _invalid)


def fault_page(scope: Scope, error: Exception) -> HTMLResponse:
    """Tell on stderr of an error nobody foresaw; return a page that says no more of it than the id it goes by there."""
    id_ = uuid4().hex[:8]
    route = getattr(scope.get("route"), "path", "a page")  # not what was asked for: the address of a feed is a secret
    print(f"Fault {id_} at {scope['method']} {route}. Please report it:", file=sys.stderr)
    traceback.print_exception(error, file=sys.stderr)
    return _failed(Request(scope), 500, f"{FAULT}\nFault {id_}.")


async def _rotation(request: Request, error: Exception) -> HTMLResponse:
    if isinstance(error, Broken):
        return _failed(request, 503, str(error), title="The household's files need mending")
    if isinstance(error, BadInput):
        return _failed(request, 409, "\n".join(plain_error(error)))
    return _failed(request, 503 if isinstance(error, StorageError) else 409, "\n".join(plain_error(error)))


async def _http(request: Request, error: Exception) -> HTMLResponse:
    assert isinstance(error, HTTPException)
    said = NOT_THERE if error.status_code == 404 else str(error.detail)
    answer = _failed(request, error.status_code, said)
    answer.headers.update(error.headers or {})
    return answer


async def _invalid(request: Request, error: Exception) -> HTMLResponse:
    return _failed(request, 422, NOT_WHOLE)


def _failed(request: Request, status: int, said: str, *, title: str = "That did not work") -> HTMLResponse:
    """Answer with what went wrong; a form that failed is there to be sent again, under the same `once`."""
    fields = _fields(request.state.posted) if request.method == "POST" else []
    lines = clean_lines(request.app.state.kitchen.without_place(said), 4000).splitlines()
    return page(request, "failed.html", status, title=title, lines=lines, fields=fields, again=request.url.path)


def _fields(posted: bytes) -> list[tuple[str, str]]:
    """Return what a form held, but for its token."""
    try:
        held = parse_qsl(posted.decode(), keep_blank_values=True, max_num_fields=MOST_FIELDS)
    except ValueError:  # it was no form: there is nothing to send again
        return []
    return [(name, value) for name, value in held if name != "csrf"]
