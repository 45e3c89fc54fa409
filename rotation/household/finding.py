"""Which household is meant: the one named, the one in ROTATION_HOUSEHOLD, the current folder, or the usual place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_config_path

from rotation.errors import BadInput, Mistake
from rotation.household.reading import SETTINGS

VARIABLE = "ROTATION_HOUSEHOLD"


@dataclass(frozen=True)
class Found:
    """A household's folder, and in words why it is this one ("from --household")."""

    folder: Path
    because: str

    def __str__(self) -> str:
        """Return what the output says of it."""
        return f"household {self.folder} ({self.because})"


def usual_place() -> Path:
    """Return the platform's folder for a household that lies nowhere else."""
    return user_config_path("rotation", appauthor=False)


def find(named: Path | None, env: Mapping[str, str], cwd: Path, usual: Path | None = None) -> Found:
    """Return the household meant. Raises BadInput if nothing names one. What is named is not looked into here.

    named: what --household says, else None; usual: the platform's folder, if not the real one is meant.
    """
    usual = usual or usual_place()
    if named is not None:
        return Found(named.expanduser(), "from --household")
    if variable := env.get(VARIABLE, "").strip():
        return Found(Path(variable).expanduser(), f"from {VARIABLE}")
    if (cwd / SETTINGS).exists():
        return Found(cwd, "the current folder")
    if (usual / SETTINGS).exists():
        return Found(usual, "the usual place")
    wrong = f"no household: none named, {VARIABLE} is empty, and neither this folder nor {usual} holds a {SETTINGS}."
    raise BadInput(Mistake(str(cwd), None, "", wrong, "Lay one out with: rotation new DIR"))
