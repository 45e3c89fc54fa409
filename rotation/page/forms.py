"""What every form carries: the token of its page (`csrf`), and an id of its own (`once`), so that it counts once."""

from __future__ import annotations

from typing import Annotated
from uuid import uuid4

from fastapi import Depends, Form, HTTPException, Request
from markupsafe import Markup

Short = Annotated[str, Form(max_length=200)]
"""A short text field of a form."""


def carried(csrf: str) -> Markup:
    """Return the hidden fields that every form needs; to be written once into each form."""
    text = '<input type="hidden" name="csrf" value="{}"><input type="hidden" name="once" value="{}">'
    return Markup(text).format(csrf, uuid4())


async def once(
    request: Request,
    csrf: Annotated[str, Form(max_length=200)],
    once: Annotated[str, Form(pattern=r"^[0-9a-f-]{36}$")],
) -> str:
    """Return the id under which a form counts, however often it is sent. 403 unless it came from a page of ours."""
    if not request.app.state.sessions.is_csrf(request.state.session, csrf):
        raise HTTPException(403, "This page was open for too long, or the form came from elsewhere. Load it again.")
    return once


Once = Annotated[str, Depends(once)]
"""What a view that changes something takes: the id to give to the use case, as the id of what is recorded."""
