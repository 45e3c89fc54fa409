"""A formula in baker's percentages: every figure is a share of all the flour, the preferments' flour included."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from rotation.household.values import Id, Settings, Text

Percent = Annotated[float, Field(ge=0, le=300)]
Shares = dict[Text, Percent]


class Preferment(Settings):
    """A part of the flour that ferments first: a starter's build, a sponge.

    flour_percent: its share of all flour. hydration_percent: its water by its own flour. seed_percent: ripe starter by
    its own flour, taken from `seed_from` (another preferment, or nothing: the kept starter, of the same make-up).
    flours: its own flour, together 100. others: by its own flour. hold_back_grams: built on top and put back.
    """

    name: Id = Field(examples=["starter"])
    flour_percent: Annotated[float, Field(ge=0, le=100, examples=[20])]
    hydration_percent: Annotated[float, Field(gt=0, le=300)] = 100.0
    seed_percent: Percent = 0.0
    seed_from: Id | None = None
    flours: Shares = Field(default={}, examples=['{ "strong wheat flour" = 100 }'])
    others: Shares = Field(default={}, examples=['{ "instant yeast" = 0.1 }'])
    hold_back_grams: Annotated[int, Field(ge=0, le=2000)] = 0


class Soaker(Settings):
    """Grain, seeds or flour that swell in water before the mix, unfermented.

    parts: what soaks, by all flour; they are part of the formula's flours and others. water_percent: by all flour, part
    of the formula's water. hours: from the soaking to the mix, at least. hot: scalded with boiling water.
    """

    name: Id = Field(examples=["seeds"])
    parts: Annotated[Shares, Field(min_length=1, examples=["{ linseed = 8 }"])]
    water_percent: Percent = Field(examples=[12])
    hours: Annotated[float, Field(ge=0, le=48)] = 8.0
    hot: bool = False


class Formula(Settings):
    """Flours together 100; water and the rest by all flour. What preferments and soakers hold is part of these.

    inclusions: nuts, fruit, olives, by all flour; they go in at the step `inclusions_at`, when the dough is made.
    """

    flours: Annotated[Shares, Field(min_length=1, examples=['{ "strong wheat flour" = 80, "rye flour" = 20 }'])]
    water_percent: Annotated[float, Field(ge=0, le=300, examples=[72])]
    others: Shares = Field(default={}, examples=["{ salt = 2 }"])
    preferments: tuple[Preferment, ...] = ()
    soakers: tuple[Soaker, ...] = ()
    inclusions: Shares = Field(default={}, examples=["{ walnuts = 15 }"])
    inclusions_at: Text = "mix"

    @property
    def ingredients(self) -> tuple[str, ...]:
        """Every ingredient once, flours first; water is not named."""
        inner = [name for each in self.preferments for name in (*each.flours, *each.others)]
        soaked = [name for each in self.soakers for name in each.parts]
        return tuple(dict.fromkeys((*self.flours, *self.others, *inner, *soaked, *self.inclusions)))
