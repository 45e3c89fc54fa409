"""The whole of `stock.toml`: what is in the freezer and the bread box at the start, and which bakes are under way."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from rotation.household.breads import FormId
from rotation.household.meals import Way
from rotation.household.values import BreadId, DayOrMoment, Id, Moment, Settings, Text

Units = Annotated[int, Field(ge=1, le=2000, examples=[2])]


class StockLot(Settings):
    """Units of one bread in one form: pieces, or slices of a sliced bread. `bagged`: the day, or the moment."""

    bread: BreadId
    form: FormId
    units: Units
    bagged: DayOrMoment = Field(examples=["2027-02-13"])
    letter: Text | None = None


class StockBox(Settings):
    """Bread ready to eat. `ready`: when it was out of the oven and cool, or thawed."""

    bread: BreadId
    portions: Units
    ready: Moment
    way: Way = "fresh"


class DoneStep(Settings):
    """A step of a bake under way that is done, when it began and ended."""

    step: Text
    start: Moment
    end: Moment


class StockBake(Settings):
    """A bake that has begun; its pieces are fixed at the mix."""

    bread: BreadId
    process: Id
    pieces: Annotated[int, Field(ge=1, le=500, examples=[2])]
    done: Annotated[tuple[DoneStep, ...], Field(min_length=1)]
    id: Id | None = None


class Stock(Settings):
    """Opening stock, as a person counted it. starter_fed: when the starter was fed last, until a feed is recorded."""

    starter_fed: Moment | None = None

    lots: tuple[StockLot, ...] = ()
    box: tuple[StockBox, ...] = ()
    under_way: tuple[StockBake, ...] = ()
