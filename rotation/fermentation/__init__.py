"""How fast dough ferments, how long a time given at one temperature is at another, and what a fridge does to it.

Rates follow the cardinal-temperature model with inflection of Rosso and others (B14). Times are minutes, temperatures
degC. IDs of sources are those of `tests/outside/data/references.csv`.
"""

from rotation.fermentation.course import Course, done_in, same_work, settling_minutes, work
from rotation.fermentation.rates import CULTURES, Culture, OutsideRange, checked, curve, rate, scaled
from rotation.fermentation.retard import COLDEST_AIM, fridge_equals, longest_retard
from rotation.fermentation.ripening import minutes_to_peak, rise_percent, seed_for

__all__ = [
    "COLDEST_AIM",
    "CULTURES",
    "Course",
    "Culture",
    "OutsideRange",
    "checked",
    "curve",
    "done_in",
    "fridge_equals",
    "longest_retard",
    "minutes_to_peak",
    "rate",
    "rise_percent",
    "same_work",
    "scaled",
    "seed_for",
    "settling_minutes",
    "work",
]
