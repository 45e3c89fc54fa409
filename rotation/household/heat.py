"""What heat has to know of a bread: its shape, size and density, and what the family measured of it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from rotation.household.values import Id, Settings

Cm = Annotated[float, Field(gt=0, le=80, examples=[20])]
Degc = Annotated[float, Field(ge=-40, le=120, examples=[12])]


class Measured(Settings):
    """A thermometer in the core, once: it corrects what is estimated for this bread.

    what "thaw": the core after `hours` in `place`; "cool": from the oven, bare on a rack; "freeze": from the hand into
    the freezer. "finish": when the oven part of `route` was over. degc: the air there, if not as in the kitchen's
    settings.
    """

    what: Literal["cool", "freeze", "thaw", "finish"] = Field(examples=["thaw"])
    core_degc: Degc
    hours: Annotated[float, Field(gt=0, le=96, examples=[4.5])] | None = None
    place: Literal["worktop", "fridge"] = "worktop"
    route: Id | None = Field(default=None, examples=["part-baked-frozen"])
    degc: Degc | None = None


class Loaf(Settings):
    """A baked loaf as heat sees it; what is not written is estimated, and the waits are wider for it.

    shape: "round" (flat), "batard" (long), "long" (a stick), "roll" or "tin". Sides: all three or none, of one baked
    piece. density_kg_per_m3: instead of sides, 250 airy to 600 dense. water_percent: of the baked loaf.
    """

    shape: Literal["round", "batard", "long", "roll", "tin"] | None = None
    length_cm: Cm | None = None
    width_cm: Cm | None = None
    height_cm: Cm | None = None
    density_kg_per_m3: Annotated[float, Field(ge=120, le=900, examples=[410])] | None = None
    water_percent: Annotated[float, Field(ge=25, le=55, examples=[43])] | None = None
    measured: tuple[Measured, ...] = ()

    @property
    def sides_cm(self) -> tuple[float, float, float] | None:
        """Length, width and height, if all were measured."""
        if self.length_cm is None or self.width_cm is None or self.height_cm is None:
            return None
        return self.length_cm, self.width_cm, self.height_cm
