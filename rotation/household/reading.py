"""Read a household's folder: `household.toml`, `breads/*.toml`, `stock.toml`. All mistakes of all files at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from zoneinfo import ZoneInfo

from pydantic import TypeAdapter, ValidationError

from rotation.errors import BadInput, Mistake, StorageError
from rotation.household.bread_sense import bread_wrong
from rotation.household.breads import Bread
from rotation.household.mistakes import Wrong, validated
from rotation.household.sense import household_wrong, stock_wrong, zone_of
from rotation.household.settings import Household
from rotation.household.shapes import shape_id, shape_of, shaped, shapes
from rotation.household.stock import Stock
from rotation.household.toml_file import TomlFile, printable, read_toml
from rotation.household.values import Id
from rotation.units import read_clocks

SETTINGS, BREADS, STOCK = "household.toml", "breads", "stock.toml"


@dataclass(frozen=True)
class Home:
    """A household as read: its folder, settings, breads by id (the name of the file), and opening stock."""

    folder: Path
    settings: Household
    breads: Mapping[str, Bread]
    stock: Stock

    @property
    def zone(self) -> ZoneInfo:
        """The zone its wall clocks show."""
        return ZoneInfo(self.settings.zone)

    @cached_property
    def known(self) -> Mapping[str, Bread]:
        """Its breads, and the other shapes that their late dough may take, by id (`rotation.household.shapes`)."""
        late = {shape_id(id_, shape): shaped(of, shape) for id_, of in self.breads.items()
                if not shape_of(id_) for shape in shapes(of)}  # fmt: skip
        return {**self.breads, **late}

    def bread_id(self, said: str) -> str:
        """Return the id of a bread that is named by its id or, in whatever case, its name; else what was said."""
        named = {bread.name.casefold(): id_ for id_, bread in reversed([*self.known.items()])}
        return said if said in self.known else named.get(said.strip().casefold(), said)

    def with_late(self, ids: Iterable[str]) -> Home:
        """Return the household with these other shapes among its breads; what is none is left out."""
        late = {id_: self.known[id_] for id_ in sorted(ids) if id_ in self.known}
        return replace(self, breads={**self.breads, **late})


def read_home(folder: Path) -> Home:
    """Return the household in a folder. Raises BadInput with all mistakes of all files; StorageError if unreadable.

    From then on times are told by its clocks.
    """
    files = _bread_files(folder)
    mistakes: list[Mistake] = []
    breads: dict[str, Bread | None] = {}
    for path in files:
        breads[path.stem] = None
        file = _read(path, mistakes)
        if file is None:
            continue
        _name(path, mistakes)
        bread, wrong = validated(Bread, file)
        mistakes += wrong
        breads[path.stem] = bread if not wrong else None
        mistakes += _besides(wrong, file, bread_wrong(bread) if bread else ())
    settings, stock = None, Stock()
    if (file := _read(folder / SETTINGS, mistakes)) is not None:
        settings, wrong = validated(Household, file)
        mistakes += wrong
        mistakes += _besides(wrong, file, household_wrong(settings, breads) if settings else ())
    if (folder / STOCK).exists() and (file := _read(folder / STOCK, mistakes)) is not None:
        read, wrong = validated(Stock, file)
        stock = read or stock
        zone = zone_of(settings) if settings else ZoneInfo("UTC")
        mistakes += [*wrong, *_besides(wrong, file, stock_wrong(stock, breads, zone))]
    if mistakes or settings is None:
        raise BadInput(*sorted(set(mistakes), key=lambda m: (m.file, m.line or 0, m.setting)))
    read_clocks(settings.shown.clock_hours)
    return Home(folder, settings, {id_: bread for id_, bread in breads.items() if bread is not None}, stock)


def _bread_files(folder: Path) -> list[Path]:
    """Return the files of breads. Raises BadInput if the folder is not a household at all."""
    shown = str(folder)
    try:
        if not folder.exists():
            raise BadInput(
                Mistake(shown, None, "", "there is no such folder.", f"Lay one out with: rotation new {shown}")
            )
        if not folder.is_dir():
            raise BadInput(
                Mistake(shown, None, "", "is a file; a household is a folder.", "Name the folder that holds it.")
            )
        if not (folder / SETTINGS).exists():
            wrong = f"is not a household: there is no {SETTINGS} in it."
            raise BadInput(Mistake(shown, None, "", wrong, f"Lay one out with: rotation new {shown}"))
        found = sorted(path for path in (folder / BREADS).glob("*.toml")) if (folder / BREADS).is_dir() else []
    except OSError as error:
        raise StorageError(f"{shown}: cannot be read: {error.strerror or error}") from None
    if not found:
        raise BadInput(
            Mistake(
                str(folder / BREADS), None, "", "there is no bread.", "Write a file for each, as breads/country.toml"
            )
        )
    return found


def _read(path: Path, mistakes: list[Mistake]) -> TomlFile | None:
    try:
        return read_toml(path)
    except BadInput as bad:
        mistakes += bad.mistakes
        return None


def _name(path: Path, mistakes: list[Mistake]) -> None:
    """Note a file whose name cannot be a bread's id."""
    try:
        TypeAdapter(Id).validate_python(path.stem)
    except ValidationError:
        wrong = f'the name "{printable(path.stem)}" cannot be referred to.'
        mistakes.append(
            Mistake(str(path), None, "", wrong, 'Use small letters, digits, "-" and "_", as country-loaf.toml')
        )


def _besides(known: list[Mistake], file: TomlFile, wrongs: Iterable[Wrong]) -> list[Mistake]:
    """Return what makes no sense besides mistakes that are known: what holds one of those is not looked at."""
    found = [file.mistake(wrong.at, wrong.wrong, wrong.instead) for wrong in wrongs]
    return [one for one in found if not any(f"{other.setting}.".startswith(f"{one.setting}.") for other in known)]
