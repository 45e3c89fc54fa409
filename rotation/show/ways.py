"""The ways of a frozen bread to the table, one line each, as a person at the freezer reads them."""

from __future__ import annotations

from collections.abc import Iterator

from rotation.household import usual
from rotation.household.breads import Route
from rotation.household.kitchen import Oven
from rotation.household.reading import Home

_FROM = {"worktop": "Worktop", "fridge": "Fridge", "none": "Frozen"}


def ways(home: Home, bread: str, form: str) -> Iterator[str]:
    """Yield a line for each way: where it thaws and how long, the oven, how long it stands."""
    recipe, kitchen = home.known[bread], home.settings.kitchen
    for route in usual.routes(recipe, kitchen.room_degc):
        if route.form == form:
            yield _way(home, route, home.settings.ovens[0])


def _way(home: Home, route: Route, oven: Oven) -> str:
    display = home.settings.shown.display
    if route.gives == "toast":
        return "Straight from the freezer: toaster or lunch box."
    parts = []
    if route.place == "none":
        parts.append("straight into the oven")
    else:
        parts.append(f"{route.thaw_hours[0]:g} to {route.thaw_hours[1]:g} h in the bag")
    for part in route.oven:
        fan = f" (fan {display.oven(part.degc - oven.fan_lower_degc)})" if oven.fan else ""
        unit = " degF" if display.temperature == "degF" else ""
        parts.append(f"{part.minutes} min at {display.oven(part.degc)}{unit}{fan}")
    parts.append(f"stand {route.stand_minutes} min" if route.stand_minutes else "eat")
    return f"{_FROM[route.place]}: {', then '.join(parts)}."
