"""The page of what is being worked out: how it goes on, then what came of it."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Path, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from rotation.page.forms import Once
from rotation.page.jobs import STOPPED, Busy, Job, Jobs, Work
from rotation.page.view import view

router = APIRouter()

Id = Annotated[str, Path(pattern=r"^[0-9a-f-]{36}$")]
SHOWN = 6
"""Lines of progress that are shown, the last ones; of an answer that is told part by part, all."""


def begin(
    request: Request, once: str, kind: str, about: dict[str, Any], work: Work, *arguments: Any
) -> RedirectResponse:
    """Begin a piece of work and lead to its page; while another is under way, to that one's."""
    jobs: Jobs = request.app.state.jobs
    try:
        job = jobs.start(once, kind, about, work, *arguments)
    except Busy as busy:
        return RedirectResponse(f"/working/{busy.job.id}?other=1", 303)
    return RedirectResponse(f"/working/{job.id}", 303)


@router.get("/working/{id_}")
def working(request: Request, id_: Id) -> HTMLResponse:
    """Show how a piece of work goes on, or what came of it."""
    jobs: Jobs = request.app.state.jobs
    job = jobs.of(id_)
    if job is None:
        return view(request, "failed_work.html", "Not known any more", status=404, lines=(LOST,), kind="", about={})
    if job.state == "running":
        other = "other" in request.query_params
        so_far = job.said if job.kind == "why" else job.said[-SHOWN:]
        return view(request, "working.html", job.about["title"], refresh=2, job=job, said_so_far=so_far, other=other)
    if job.state == "failed":
        lines = [request.app.state.kitchen.without_place(line) for line in job.wrong]
        lines += job.said[1:] if job.kind == "why" else []  # each is a part of the answer
        title = "Stopped" if job.wrong == (STOPPED,) else "That did not work"
        return view(request, "failed_work.html", title, lines=lines, kind=job.kind, about=job.about)
    return _outcome(request, job)


@router.post("/working/{id_}/stop")
def stop(request: Request, id_: Id, once: Once) -> Response:
    """Stop a piece of work."""
    jobs: Jobs = request.app.state.jobs
    jobs.stop(id_)
    return RedirectResponse(f"/working/{id_}", 303)


LOST = "This was worked out before the kitchen page was started anew, or long ago. Start it again."

_TITLES = {
    "plan": "The new plan",
    "guests": "Guests",
    "later": "Not yet",
    "look": "Into the calendars",
    "publish": "Into the calendars",
    "odd": "The calendars, just read",
    "why": "Why?",
    "eaten": "What is eaten",
}


def _outcome(request: Request, job: Job) -> HTMLResponse:
    """Show what came of it."""
    template, outcome = job.kind, job.outcome
    if job.kind == "publish" and outcome.again is not None:
        template, outcome = "look", outcome.again
    return view(
        request, f"done_{template}.html", _TITLES[job.kind], outcome=outcome, about=job.about,
        again=job.kind == "publish" and template == "look",
    )  # fmt: skip
