"""The simplex of HiGHS as we use it: without a word, and where it stands."""

from __future__ import annotations

from dataclasses import dataclass

import highspy


class Quiet(highspy.Highs):
    """HiGHS without its banner, which it prints while it is made."""

    def enableCallbacks(self) -> None:  # noqa: N802 -- the library's name
        """Silence the output before the first word."""
        self.setOptionValue("output_flag", False)
        super().enableCallbacks()  # type: ignore[no-untyped-call]  # the library has no types here


@dataclass(frozen=True)
class Stand:
    """Where the simplex stands: a basis, and for how many columns and rows it was made."""

    basis: highspy.HighsBasis
    columns: int
    rows: int


@dataclass(frozen=True)
class Warm:
    """Where to begin: the status of each variable and row of a model in the best basis of something like it."""

    columns: tuple[highspy.HighsBasisStatus, ...]
    rows: tuple[highspy.HighsBasisStatus, ...]
