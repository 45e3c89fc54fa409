"""How long bread keeps, what becomes of it when the freezer fails, and the cautions that stand where the act is.

Dates of plain bread are about quality alone (D12): past them it is for toast or crumbs. Filled bread has strict ones.
Nothing here says that something is safe. IDs of sources are those of `tests/outside/data/references.csv`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from itertools import pairwise

from rotation.household.breads import Bread
from rotation.household.usual import Kept

STARS = ((-18.0, 1.0), (-12.0, 1 / 3), (-6.0, 1 / 12))
"""Freezer temperature and the share of its time that bread keeps there: three, one and a quarter months, as the stars
of a freezer say (from memory). It agrees with D04 and D05: at -12 bread firms rapidly, only the short term will do."""

FULL_HOURS, HALF_HOURS, FRIDGE_HOURS = 48.0, 24.0, 4.0
"""How long a shut freezer, full or half full, and a shut fridge stay cold without power (D14)."""

THAW_DEGC = 5.0
"""Filled bread thaws in a fridge at or below it (D16)."""

HOT_DAY_DEGC = 32.0
"""Above it filled bread has an hour instead of two (D17)."""

RULES = "follow your local food-safety rules"

RAW = "Raw dough and flour are not for tasting: wash hands and bowls."
"""G02."""

MOULD = "Mould? The whole loaf goes, unsniffed."
"""G03."""

GOLDEN = "Golden, not dark."
"""G04."""

HOT_IRON = "Hot iron: dry mitts, an hour out of everybody's reach."
"""G06."""

STEAM = "Steam: stand aside when lid or door opens; no water on hot glass."
"""G07."""

HOT_POT = (
    "Careful: hot iron and steam. Stand aside as the lid comes off; the pot stays hot for an hour; "
    "an adult stays in until {until}."
)
"""G06, G07; in entries, where there is room."""

HOT_OVEN = "Careful: hot oven. An adult stays in until {until}."

LATE_DOUGH = "Running late? Cover the dough, put it in the fridge, go on when you can; then plan again."
"""Common practice, no published source."""

FILLED = f"Filled: thaw only in the fridge, cold within two hours of baking; {RULES}."
"""D16, D17."""


def kept_share(freezer_degc: float) -> float:
    """Return the share of its time that bread keeps in a freezer of this temperature: 1 at -18 degC or below."""
    if freezer_degc <= STARS[0][0]:
        return 1.0
    for (cold, more), (warm, less) in pairwise(STARS):
        if freezer_degc <= warm:
            return more + (less - more) * (freezer_degc - cold) / (warm - cold)
    return STARS[-1][1]


@dataclass(frozen=True)
class Dates:
    """Weeks in the freezer until bread is to be eaten first, is for toast, and may not be eaten (None: plain bread)."""

    eat_first_weeks: float
    toast_after_weeks: float
    strict_weeks: float | None


def dates(kept: Kept, freezer_degc: float) -> Dates:
    """Return the dates of a form in a freezer of this temperature (D04 to D09, T03)."""
    share = kept_share(freezer_degc)
    strict = None if kept.strict_weeks is None else share * kept.strict_weeks
    return Dates(share * kept.eat_first_weeks, share * kept.toast_after_weeks, strict)


def cold_within_minutes(room_degc: float) -> int:
    """Return how soon filled bread has to be cold, or eaten: two hours, one on a hot day (D17)."""
    return 60 if room_degc > HOT_DAY_DEGC else 120


def holds_cold_hours(full_share: float) -> float:
    """Return the hours for which a shut freezer, filled to this share of its room, keeps cold without power (D14).

    Between half and full, and below half, nothing is published: the next smaller figure, and less in proportion.
    """
    if full_share >= 1:
        return FULL_HOURS
    return HALF_HOURS * min(1.0, max(full_share, 0.0) / 0.5)


class Found(Enum):
    """How a bag is found after a power cut or under an open lid."""

    HARD = "hard"
    ICY = "icy"
    COLD = "soft and cold"
    WARM = "warm"


class Verdict(Enum):
    """What the usual guidance says to do with a bag."""

    KEEP = "keep"
    REFREEZE = "refreeze"
    EAT_SOON = "eat soon"
    DISCARD = "discard"


@dataclass(frozen=True)
class Advice:
    """What to do with a bag, in a word and in a line for people; toast: its quality has gone, not its worth."""

    verdict: Verdict
    words: str
    toast: bool = False


def after_warming(bread: Bread, found: Found, hours_warm: float | None = None) -> Advice:
    """Return what the usual guidance says of a bag that was not kept frozen, plain and filled bread apart (D15, D18).

    hours_warm: above 4 degC, as far as known; None: nobody knows, which for filled bread counts as too long.
    """
    if found is Found.HARD:
        return Advice(Verdict.KEEP, "Hard: leave it in.")
    if bread.kind == "plain":
        soft = found in (Found.COLD, Found.WARM)
        words = "Refreeze it, for toast; or eat it in the next days." if soft else "Icy: refreeze it."
        return Advice(Verdict.REFREEZE, f"{words} {MOULD}" if soft else words, toast=soft)
    if found is Found.ICY:
        return Advice(Verdict.REFREEZE, f"Icy: the usual guidance lets it be refrozen; {RULES}.", toast=True)
    if found is Found.COLD and hours_warm is not None and hours_warm <= 2:
        return Advice(Verdict.EAT_SOON, f"Filled: into the fridge, eat it today, or bin it; {RULES}.")
    return Advice(Verdict.DISCARD, f"Filled, and over 4 degC for two hours or nobody knows how long: bin it; {RULES}.")


def after_outage(bread: Bread, hours: float, full_share: float) -> Advice:
    """Return what to do with a bag after a power cut of so many hours with the door shut: nothing, or to look (D14)."""
    if hours <= holds_cold_hours(full_share):
        return Advice(Verdict.KEEP, "Door shut and back in time: leave it in, but look whether it is hard.")
    return after_warming(bread, Found.COLD)


def refreezing(bread: Bread, thawed_in: str) -> Advice:
    """Return what becomes of thawed bread nobody ate: plain may be refrozen, filled only from the fridge (D18)."""
    if bread.kind == "plain":
        return Advice(Verdict.REFREEZE, f"May be refrozen, for toast. {MOULD}", toast=True)
    if thawed_in == "fridge":
        return Advice(Verdict.REFREEZE, f"Thawed in the fridge: may be refrozen, with loss; {RULES}.", toast=True)
    return Advice(Verdict.DISCARD, f"Filled bread that thawed in the warm is not refrozen; {RULES}.")


def overdue(step: str, filled: bool) -> str:
    """Return what to mind at an overdue step of a bake, or nothing: D17 once a filling is in, else common practice."""
    if filled and step in ("oven", "bag"):
        return f"Overdue, with its filling: bin it after two hours in the warm; {RULES}."
    return "" if step in ("feed", "mix", "bag") else "Overdue dough: look and smell first; in doubt, bin it."


def cautions(bread: Bread, covered: bool, room_degc: float) -> dict[str, str]:
    """Return the caution in one line by the act it belongs to: "mix", "oven", "cool", "thaw", "keep"."""
    found = {"mix": RAW, "oven": f"{HOT_IRON} {STEAM}" if covered else STEAM, "keep": f"{MOULD[:-1]}; {RULES}."}
    if bread.kind == "filled":
        hours = "one hour" if cold_within_minutes(room_degc) == 60 else "two hours"
        found["cool"] = f"Filled: cold within {hours}; {RULES}."
        found["thaw"] = f"Filled: thaw in the fridge only, at 5 degC or below; {RULES}."
    return found
