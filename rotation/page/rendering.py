"""Templates, and the few files of our own that pages ask for, under names that change with their content."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from mimetypes import guess_type
from pathlib import Path
from typing import Any

from fastapi import HTTPException, Request
from fastapi.responses import HTMLResponse, Response
from jinja2 import Environment, PackageLoader, StrictUndefined

from rotation.page.forms import carried

STATIC = Path(__file__).with_name("static")
FOREVER = "public, max-age=31536000, immutable"
KINDS = {".webmanifest": "application/manifest+json", ".js": "text/javascript; charset=utf-8"}


@dataclass(frozen=True)
class Asset:
    """One file a page may ask for, with what its content is known by."""

    data: bytes
    kind: str
    digest: str


@cache
def assets() -> dict[str, Asset]:
    """Return all files there are to ask for, by name; nothing else is ever served."""
    found = {}
    for path in sorted(file for file in STATIC.iterdir() if file.is_file()):
        data = path.read_bytes()
        kind = KINDS.get(path.suffix) or guess_type(path.name)[0] or "application/octet-stream"
        found[path.name] = Asset(data, kind, sha256(data).hexdigest()[:16])
    return found


def static(name: str) -> str:
    """Return the address of a file of ours, for templates."""
    return f"/static/{assets()[name].digest}/{name}"


def asset(digest: str, name: str) -> Response:
    """Answer with a file of ours, to be kept for ever; also under the digest of another version of it, for a while."""
    found = assets().get(name)
    if found is None:
        raise HTTPException(404)
    keep = FOREVER if digest == found.digest else "no-cache"
    return Response(found.data, media_type=found.kind, headers={"Cache-Control": keep})


@cache
def _environment() -> Environment:
    made = Environment(
        loader=PackageLoader("rotation.page"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    made.globals["static"] = static
    return made


def page(request: Request, template: str, status: int = 200, /, **values: Any) -> HTMLResponse:
    """Answer with a template. It may say `{{ carried() }}` in each form, and `{{ static("page.css") }}`."""
    token = request.app.state.sessions.csrf(request.state.session)
    text = (
        _environment()
        .get_template(template)
        .render(values, carried=lambda: carried(token), csrf=token, path=request.url.path)
    )
    return HTMLResponse(text, status, {"Cache-Control": "no-store"})
