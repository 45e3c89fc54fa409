"""What is to be planned, as plain frozen data. Knows neither the solver nor calendars.

Time is whole minutes of UTC since `Problem.zero`; spans are half-open `(start, end)`, sorted and disjoint. Effort is
counted in thousandths of an effort minute (`milli`), so that every cost is an integer. Room is counted in decilitres,
mass in grams, temperatures in degC.
"""

from __future__ import annotations

from rotation.problem.breads import (
    BOUGHT,
    DIAL,
    FEED,
    FINISHED,
    FRESH,
    RESCUED,
    STARTER,
    TABLE,
    THAWED,
    THAWING,
    TOAST,
    Bread,
    Form,
    Process,
    Programme,
    Route,
    Stage,
    Treatment,
    Use,
    Wait,
    is_thawing,
    kept_as,
    of_household,
)
from rotation.problem.eating import Accept, Meal, Shop
from rotation.problem.house import Booking, Kitchen, Oven, Person, free_spans
from rotation.problem.spans import GRID, Spans, Steps, covers, day_index, lowest, union, value_at, well_ordered
from rotation.problem.stock import BoxItem, Lot, Starter, UnderWay
from rotation.problem.wanted import FIXED, Kept, Published, PublishedWay, Weights, Wish
from rotation.problem.whole import Problem

__all__ = [
    "BOUGHT",
    "DIAL",
    "FEED",
    "FINISHED",
    "FIXED",
    "FRESH",
    "GRID",
    "RESCUED",
    "STARTER",
    "TABLE",
    "THAWED",
    "THAWING",
    "TOAST",
    "Accept",
    "Booking",
    "BoxItem",
    "Bread",
    "Form",
    "Kept",
    "Kitchen",
    "Lot",
    "Meal",
    "Oven",
    "Person",
    "Problem",
    "Process",
    "Programme",
    "Published",
    "PublishedWay",
    "Route",
    "Shop",
    "Spans",
    "Stage",
    "Starter",
    "Steps",
    "Treatment",
    "UnderWay",
    "Use",
    "Wait",
    "Weights",
    "Wish",
    "covers",
    "day_index",
    "free_spans",
    "is_thawing",
    "kept_as",
    "lowest",
    "of_household",
    "union",
    "value_at",
    "well_ordered",
]
