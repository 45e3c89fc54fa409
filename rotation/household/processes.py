"""Processes of a bread: stages with hands, the waits after them, spans over several, what they hold, the oven."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from rotation.household.formulas import Formula
from rotation.household.values import Id, Settings, Text

Minutes = Annotated[int, Field(ge=0, le=20_160)]
Wait = Annotated[tuple[Minutes, Minutes], Field(examples=["[30, 45]"])]
"""Shortest and longest minutes."""

Hands = Annotated[int, Field(ge=0, le=600)]
OvenMinutes = Annotated[int, Field(ge=0, le=300, examples=[25])]
OvenDegc = Annotated[int, Field(ge=30, le=350, examples=[230])]


class Stage(Settings):
    """One step that needs hands. `then_minutes`: shortest and longest wait from its end to the next step's start.

    warm: the wait is a fermentation at room temperature, given at the process's `reference_degc`, and follows the
    room; a cold proof or a rest does not. The stages "oven" and "bag" have no wait of their own; after "preshape" dough
    rests for 15 to 30 minutes if nothing else is written (T09).
    """

    name: Text = Field(examples=["shape"])
    hands_minutes: Hands = Field(examples=[10])
    hands_minutes_per_piece: Hands = 0
    then_minutes: Wait | None = None
    warm: bool = False

    @model_validator(mode="before")
    @classmethod
    def _rest(cls, value: Any) -> Any:
        if isinstance(value, dict) and value.get("name") == "preshape":
            return {"then_minutes": [15, 30], **value}
        return value


class Span(Settings):
    """Minutes from the start of one step to the start of another, any two of them: a bulk with folds inside."""

    first: Text = Field(examples=["mix"])
    second: Text = Field(examples=["shape"])
    minutes: Wait
    warm: bool = False


class Use(Settings):
    """What a bake holds from the start of one step to the start of another: a bowl, or a place for each piece."""

    what: Literal["bowl", "banneton", "fridge"]
    since: Text = Field(examples=["mix"])
    until: Text = Field(examples=["shape"])


class OvenTurn(Settings):
    """Another temperature, set so many minutes after a load went in."""

    after_minutes: Annotated[int, Field(ge=1, le=300, examples=[25])]
    degc: OvenDegc = Field(examples=[220])


class OvenProgramme(Settings):
    """How the bread is baked.

    uncovered_minutes: without a cover, after the covered ones; a form may stay shorter. then: other temperatures on the
    way, as 220 once the lid is off; without them one loaf may brown while the next is covered.
    """

    degc: OvenDegc
    covered_minutes: OvenMinutes = 0
    uncovered_minutes: OvenMinutes = Field(examples=[25])
    pieces_per_place: Annotated[int, Field(ge=1, le=100)] = 1
    handling_minutes: Annotated[int, Field(ge=1, le=60)] = 3
    then: Annotated[tuple[OvenTurn, ...], Field(max_length=5)] = ()


class Process(Settings):
    """One way to make the bread. pieces: sizes of a bake that are allowed.

    reference_degc: of the room in which the warm waits take the times given. dough_degc: of the dough after the mix, if
    the water is warmed or cooled for it; then it drifts to the room. in_box: warm waits stand in the household's box.
    uses: if none is given, one bowl from the mix until "shape", or until the oven where nothing is called so.
    oven, formula: if the process bakes differently from the bread's own, or has other percentages (little seed
    overnight).
    """

    id: Id = Field(examples=["overnight"])
    name: Text | None = None
    reference_degc: Annotated[float, Field(ge=5, le=40)] = 21.0
    dough_degc: Annotated[float, Field(ge=10, le=35, examples=[25.0])] | None = None
    in_box: bool = False
    leaven: Literal["starter", "yeast"] = "starter"
    stages: Annotated[tuple[Stage, ...], Field(min_length=2, max_length=30)]
    spans: tuple[Span, ...] = ()
    uses: tuple[Use, ...] = ()
    pieces: Annotated[tuple[Annotated[int, Field(ge=1, le=500)], ...], Field(min_length=1, examples=["[1, 2, 3]"])]
    fixed_minutes: Annotated[float, Field(ge=0, le=1000, examples=[15])] | None = None
    oven: OvenProgramme | None = None
    formula: Formula | None = None

    @property
    def called(self) -> str:
        """What the family calls this process."""
        return self.name or self.id

    @property
    def held(self) -> tuple[Use, ...]:
        """What a bake holds, with the default bowl if nothing is written."""
        shaped = any(stage.name == "shape" for stage in self.stages)
        return self.uses or (Use(what="bowl", since="mix", until="shape" if shaped else "oven"),)

    def in_fridge(self, first: str, second: str) -> bool:
        """Say whether the dough lies in the fridge all the time between two steps."""
        names = [stage.name for stage in self.stages]
        return any(
            names.index(use.since) <= names.index(first) and names.index(second) <= names.index(use.until)
            for use in self.held
            if use.what == "fridge" and {use.since, use.until} <= {*names}
        )

    @property
    def bulk_is_warm(self) -> bool:
        """Whether the dough is never cold from the mix until it is shaped."""
        names = [stage.name for stage in self.stages]
        until = names.index("shape") if "shape" in names else 0
        return "shape" in names and not any(name in self.cold_minutes for name in names[:until])

    @property
    def cold_minutes(self) -> dict[str, int]:
        """The shortest minutes of each cold proof, a wait in the fridge, by the step it follows."""
        names = [stage.name for stage in self.stages]
        return {
            stage.name: stage.then_minutes[0]
            for stage, after in zip(self.stages, names[1:], strict=False)
            if stage.then_minutes and not stage.warm and self.in_fridge(stage.name, after)
        }
