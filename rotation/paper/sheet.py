"""The sheet for the fridge door: one page for screen, phone and print, set so that a week fills one side of paper."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from zoneinfo import ZoneInfo

from rotation.household.paper import PAPER_MM
from rotation.paper import chromium
from rotation.paper.fitting import POINT_MM, largest, lines_of, points, width_em
from rotation.paper.picture import GAP, HEAD, ROW, WIDE, picture
from rotation.paper.rendering import rendered
from rotation.show.sheet import Act, Day, Eaten, Sheet
from rotation.show.strip_table import rows
from rotation.units import Display, longest_time

MARGIN_MM, COLUMN_GAP_MM = 8.0, 5.0

LARGEST, SMALLEST = 13.0, 6.5
"""Sizes of the text in print, in points: as large as a page allows, and never smaller than can be read."""

LINE, SMALL = 1.2, 0.87
"""Height of a line, and the size of the smaller text, in ems: as in the style."""

ONE_PAGE = 7
"""Days that are set to fill one page; more of them run on."""

TRIES, SMALLER = 8, 0.95
"""How often a sheet is printed anew that a page does not hold, and by how much smaller each time."""

CLOSE = 0.985
"""How much of the page the text may fill: a browser's fonts are not ours."""


@dataclass(frozen=True)
class Setting:
    """How the page is set in print: size of the text in points, days in the left column, whether it fits one page.

    stock_left: whether freezer and shopping stand beneath the left days, else beneath the right ones.
    """

    points: float
    days: int
    stock_left: bool
    fits: bool


def print_sheet(program: str, sheet: Sheet, zone: ZoneInfo, paper: str, display: Display, path: Path) -> None:
    """Print a sheet as PDF; where the browser's fonts are wider than was reckoned, in smaller text until one page holds
    it. Raises StorageError.
    """
    setting = set_for(sheet, paper)
    for smaller in range(TRIES):
        tried = replace(setting, points=max(round(setting.points * SMALLER**smaller, 2), SMALLEST))
        chromium.print_pdf(program, page(sheet, zone, paper, display, tried), path)
        if not setting.fits or tried.points == SMALLEST or chromium.pages_of(path) == 1:
            return


def page(sheet: Sheet, zone: ZoneInfo, paper: str, display: Display, setting: Setting | None = None) -> str:
    """Return the sheet as one HTML page that needs nothing else. setting: None is as reckoned."""
    days = tuple(day.date for day in sheet.days)
    setting = setting or set_for(sheet, paper)
    left, right = sheet.days[: setting.days], sheet.days[setting.days :]
    return rendered(
        "sheet.html",
        sheet=sheet,
        picture=picture(sheet.strips, days, zone),
        rows=rows(sheet.strips, days, sheet.names, zone, display),
        columns=[(left, setting.stock_left), (right, not setting.stock_left)],
        paper=paper,
        points=setting.points,
        margin=MARGIN_MM,
        gap=COLUMN_GAP_MM,
        times=times_em(),
    )


def set_for(sheet: Sheet, paper: str) -> Setting:
    """Return how a sheet is set: the largest text at which up to seven days fill one page."""
    wide, high = (side - 2 * MARGIN_MM for side in PAPER_MM[paper])
    column = (wide - COLUMN_GAP_MM) / 2

    def arranged(size: float) -> tuple[float, int, bool]:
        em = size * POINT_MM
        days = [em * _day(day, column / em) for day in sheet.days]
        return _arranged(days, em * _stock(sheet, column / em))

    def fits(size: float) -> bool:
        return _around(sheet, wide, size) + arranged(size)[0] <= CLOSE * high

    sizes = points(LARGEST, SMALLEST)
    size = largest(sizes, fits) if len(sheet.days) <= ONE_PAGE else None
    chosen = size or (8.5 if len(sheet.days) > ONE_PAGE else SMALLEST)
    _, days, stock_left = arranged(chosen)
    return Setting(chosen, days, stock_left, size is not None)


def _arranged(days: list[float], stock: float) -> tuple[float, int, bool]:
    """Return the height of the taller column, the days in the left one, and whether the stock is there too.

    Of two ways that are as good, the one with the stock at the end.
    """
    ways = [
        (max(sum(days[:left]) + stock * stock_left, sum(days[left:]) + stock * (not stock_left)), stock_left, left)
        for left in range(len(days) + 1)
        for stock_left in (False, True)
    ]
    height, stock_left, left = min(ways)
    return height, left, stock_left


def times_em() -> float:
    """Return the place of the times before each line, in ems."""
    return round(width_em("0" * (longest_time() - 1) + ":", True) + 0.35, 2)


def _around(sheet: Sheet, wide: float, size: float) -> float:
    """Return the millimetres that title, picture and cautions take."""
    em = size * POINT_MM
    strips = len(sheet.strips["people"]) + len(sheet.strips["ovens"]) + 2
    drawn = wide / WIDE * (HEAD + strips * (ROW + GAP))
    cautions = lines_of(" ".join(sheet.cautions), wide / (SMALL * em)) * SMALL * LINE * em
    return 18.5 + (LINE * 1.2 * em if sheet.old else 0) + drawn + cautions


def _stock(sheet: Sheet, room: float) -> float:
    """Return the height of what is in the freezer and what to buy, in ems. room: the width of a column, in ems."""
    bags = sum(_small(f"{bag.letter} {bag.what}, {bag.bagged}: {bag.standing}.", room - 2.2, 0.15)
               for bag in sheet.bags)  # fmt: skip
    buy = sum(_small(f"{by}: {what}", room - 2.2, 0.15) for by, what in sheet.buy)
    return 5.2 + (bags or LINE) + (buy or LINE)


def _day(day: Day, room: float) -> float:
    acts = sum(_act(act, room) for act in day.acts)
    eaten = sum(_small(meal_words(meal), room - times_em(), 0.05) for meal in day.meals)
    below = [day.remark, f"Freezer tonight: {day.tonight}"]
    acts = acts or SMALL * LINE
    return 2.75 + acts + 0.3 + eaten + sum(_small(text, room, 0.05) for text in below if text)


def _act(act: Act, room: float) -> float:
    more = max(0.0, width_em(act.times, True) - times_em() + 0.4)
    who = f"{act.who} " if act.who else ""
    filler = "n" * round(more / 0.56)
    words = f"{filler} {who}{act.act}{act.what}"
    smaller = f"{act.detail} {act.caution}"
    shrunk = words + smaller[: round(SMALL * len(smaller))]  # as many letters as fill the room of the smaller ones
    return LINE * lines_of(shrunk, (room - times_em()) / 1.03) + 0.18


def _small(text: str, room: float, beneath: float) -> float:
    return SMALL * LINE * lines_of(text, room / SMALL / 1.02) + beneath


def meal_words(meal: Eaten) -> str:
    """Return all words of a meal, to reckon the room they take."""
    guests = f" ({meal.heads} guests)" if meal.heads else ""
    lack = f" Short by {meal.short}." if meal.short else ""
    return f"{meal.title}{guests}: {meal.what or 'nothing'}.{lack} {meal.holds}"
