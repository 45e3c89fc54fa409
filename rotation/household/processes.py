"""Processes of a bread: stages with hands, the waits after them, spans over several, what they hold, the oven."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from rotation.household.values import Id, Settings, Text

Minutes = Annotated[int, Field(ge=0, le=20_160)]
Wait = Annotated[tuple[Minutes, Minutes], Field(examples=["[30, 45]"])]
"""Shortest and longest minutes."""

Hands = Annotated[int, Field(ge=0, le=600)]
OvenMinutes = Annotated[int, Field(ge=0, le=300)]
OvenDegc = Annotated[int, Field(ge=30, le=350, examples=[230])]


class Stage(Settings):
    """One step that needs hands. `then_minutes`: shortest and longest wait from its end to the next step's start.

    warm: the wait is a fermentation at room temperature, given at the process's `reference_degc`, and follows the
    room; a cold proof or a rest does not. The stages "oven" and "bag" have no wait of their own.
    """

    name: Text = Field(examples=["shape"])
    hands_minutes: Hands = Field(examples=[10])
    hands_minutes_per_piece: Hands = 0
    then_minutes: Wait | None = None
    warm: bool = False


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


class OvenProgramme(Settings):
    """How the bread is baked.

    uncovered_minutes: without a cover, after the covered ones; a form may stay shorter. one_temperature: covered and
    uncovered want the same heat, so one loaf may brown beside the next.
    """

    degc: OvenDegc
    covered_minutes: OvenMinutes = 0
    uncovered_minutes: OvenMinutes = Field(examples=[25])
    pieces_per_place: Annotated[int, Field(ge=1, le=100)] = 1
    handling_minutes: Annotated[int, Field(ge=1, le=60)] = 3
    one_temperature: bool = True


class Process(Settings):
    """One way to make the bread. pieces: sizes of a bake that are allowed.

    uses: if none is given, one bowl from the mix until "shape", or until the oven where nothing is called so.
    oven: if the process bakes differently from the bread's own.
    """

    id: Id = Field(examples=["overnight"])
    name: Text | None = None
    reference_degc: Annotated[float, Field(ge=5, le=40)] = 21.0
    leaven: Literal["starter", "yeast"] = "starter"
    stages: Annotated[tuple[Stage, ...], Field(min_length=2, max_length=30)]
    spans: tuple[Span, ...] = ()
    uses: tuple[Use, ...] = ()
    pieces: Annotated[tuple[Annotated[int, Field(ge=1, le=500)], ...], Field(min_length=1, examples=["[1, 2, 3]"])]
    fixed_minutes: Annotated[float, Field(ge=0, le=1000)] | None = None
    oven: OvenProgramme | None = None

    @property
    def called(self) -> str:
        """What the family calls this process."""
        return self.name or self.id

    @property
    def held(self) -> tuple[Use, ...]:
        """What a bake holds, with the default bowl if nothing is written."""
        shaped = any(stage.name == "shape" for stage in self.stages)
        return self.uses or (Use(what="bowl", since="mix", until="shape" if shaped else "oven"),)

    @model_validator(mode="after")
    def _hangs_together(self) -> Process:
        problems = [*self._stages_wrong(), *self._spans_wrong(), *self._uses_wrong()]
        if len(set(self.pieces)) < len(self.pieces) or list(self.pieces) != sorted(self.pieces):
            problems.append("pieces are not in rising order; write each size once, smallest first, as in [1, 2, 3]")
        if problems:
            raise ValueError("\n".join(problems))
        return self

    def _names(self) -> list[str]:
        return [stage.name for stage in self.stages]

    def _stages_wrong(self) -> list[str]:
        names, wrong = self._names(), []
        wrong += [
            f'there are two steps called "{n}"; number them: "{n} 1"'
            for n in dict.fromkeys(names)
            if names.count(n) > 1
        ]
        wrong += [
            f'no step is called "{n}"; every process has one "mix" and one "oven"'
            for n in ("mix", "oven")
            if n not in names
        ]
        if "bag" in names and names[-1] != "bag":
            wrong.append('"bag" is not the last step; loaves are bagged when they are baked and cool')
        if "oven" in names:
            after = names[names.index("oven") + 1 :]
            if after not in ([], ["bag"]):
                wrong.append('only "bag" may come after "oven"; end with "oven", "bag"')
            if "mix" in after:
                wrong.append('"mix" comes after "oven"; write the steps in the order they are done')
        for stage in self.stages:
            if stage.name in ("oven", "bag"):
                if stage.then_minutes is not None:
                    wrong.append(
                        f'"{stage.name}" has a wait; what follows it is told by the forms: leave then_minutes out'
                    )
            elif stage.then_minutes is None:
                wrong.append(f'"{stage.name}" does not say how long to wait after it; write then_minutes = [30, 45]')
            elif stage.then_minutes[0] > stage.then_minutes[1]:
                wrong.append(f'"{stage.name}" has a shortest wait above its longest; write then_minutes = [30, 45]')
        return wrong

    def _spans_wrong(self) -> list[str]:
        names, wrong = self._names(), []
        for span in self.spans:
            missing = [name for name in (span.first, span.second) if name not in names]
            title = f'the span from "{span.first}" to "{span.second}"'
            if missing:
                wrong += [
                    f'{title} names a step "{name}" that is not there; steps are {", ".join(names)}' for name in missing
                ]
                continue
            if names.index(span.first) >= names.index(span.second):
                wrong.append(f"{title} runs backwards; name the earlier step first")
                continue
            if span.second == "bag":
                wrong.append(f'{title} ends at "bag"; what follows the oven is told by the forms')
                continue
            if span.minutes[0] > span.minutes[1]:
                wrong.append(f"{title} has a shortest time above its longest; write minutes = [240, 300]")
            wrong += self._cannot_fit(span, title)
        return wrong

    def _cannot_fit(self, span: Span, title: str) -> list[str]:
        names = self._names()
        inner = self.stages[names.index(span.first) : names.index(span.second)]
        waits = [stage.then_minutes or (0, 0) for stage in inner]
        least = sum(stage.hands_minutes for stage in inner) + sum(low for low, _ in waits)
        most = sum(stage.hands_minutes + stage.hands_minutes_per_piece * max(self.pieces) for stage in inner)
        most += sum(high for _, high in waits)
        if least > span.minutes[1]:
            return [f"{title} is at most {span.minutes[1]} minutes, but its steps and waits take at least {least}"]
        if most < span.minutes[0]:
            return [f"{title} is at least {span.minutes[0]} minutes, but its steps and waits take at most {most}"]
        return []

    def _uses_wrong(self) -> list[str]:
        names, wrong = self._names(), []
        for use in self.uses:
            missing = [name for name in (use.since, use.until) if name not in names]
            wrong += [
                f'the {use.what} is held until or since a step "{name}" that is not there; steps are {", ".join(names)}'
                for name in missing
            ]
            if not missing and names.index(use.since) >= names.index(use.until):
                wrong.append(f'the {use.what} is held from "{use.since}" to "{use.until}", which is earlier; turn them')
        return wrong
