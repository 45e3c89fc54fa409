"""What the household eats, found from its records, and its standing habit offered; nothing changes unasked."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from rotation.page import work_eaten
from rotation.page.forms import Once, Short
from rotation.page.kitchen import KitchenOf
from rotation.page.view import view
from rotation.page.working import begin
from rotation.taking_over import taken_over

router = APIRouter()


@router.get("/eaten")
def eaten(request: Request, kitchen: KitchenOf) -> HTMLResponse:
    """Say what the household's file says is eaten, and offer to look what really is."""
    home = kitchen.home()
    return view(
        request, "eaten.html", "What is eaten", loaves=f"{home.settings.habits.loaves_a_week:g}",
        boxes=home.settings.habits.lunch_slices_on_school_days, reserve=home.settings.reserve.portions,
        taken=taken_over(home),
    )  # fmt: skip


@router.post("/eaten/look")
def look_back(request: Request, kitchen: KitchenOf, once: Once) -> Response:
    """Work out what is eaten. Nothing is written."""
    about = {"title": "Looking at what was eaten"}
    return begin(request, once, "eaten", about, work_eaten.eaten, kitchen.folder, kitchen.moment(), "")


@router.post("/eaten/take")
def take_over(request: Request, kitchen: KitchenOf, once: Once, seen: Short) -> Response:
    """Write what was shown into the household's file."""
    about = {"title": "Taking it over"}
    return begin(request, once, "eaten", about, work_eaten.eaten, kitchen.folder, kitchen.moment(), seen)
