"""What is found of a household's eating as settings, written into its file when the family says so, and taken back."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from contextlib import suppress
from hashlib import sha256
from pathlib import Path

from calendars.store import CalendarError
from calendars.writing import write_file
from rotation.eating import Eating
from rotation.errors import BadInput, Mistake, StorageError
from rotation.household.reading import SETTINGS, Home, read_home
from rotation.household.rewriting import with_setting
from rotation.household.values import DAYS
from rotation.stockroom import STATE

BEFORE = "taken_over"
"""The folder, in that of the state, of the settings as they were before: one file, by what was written over them."""


def settings(eating: Eating) -> dict[tuple[str, str], str]:
    """Return the settings offered, by table and key, each as it is written in `household.toml`."""
    days = ", ".join(f"{DAYS[day]} = {more:g}" for day, more in sorted(eating.by_weekday.items()))
    breads = ", ".join(f"{bread} = {_share(each)}" for bread, each in sorted(eating.by_bread.items()))
    return {
        ("habits", "loaves_a_week"): f"{eating.loaves_a_week:.1f}",
        **({("habits", "by_weekday"): f"{{ {days} }}"} if days else {}),
        **({("habits", "by_bread"): f"{{ {breads} }}"} if breads else {}),
        ("reserve", "portions"): str(eating.reserve.portions),
    }


def take_over(home: Home, eating: Eating) -> Path:
    """Write the settings offered into `household.toml`, all else as it is; return the file.

    What it was before is kept, for `take_back`. Raises BadInput, with the file as it was, where its layout is one that
    cannot be written anew; StorageError where what it was cannot be kept, and then nothing is written.
    """
    file = home.folder / SETTINGS
    before = file.read_bytes()
    text = before.decode()
    for (table, key), value in settings(eating).items():
        text = with_setting(text, table, key, value)
    written = text.encode()
    if written != before:
        _keep(home, before, _name(written))
        _write(home, written, before)
        _forget_others(home, _name(written))
    return file


def taken_over(home: Home) -> str:
    """Return the name of what was taken over last, for `take_back`; "" where `household.toml` is other than that."""
    name = _name((home.folder / SETTINGS).read_bytes())
    return name if _kept(home, name) is not None else ""


def take_back(home: Home, name: str) -> None:
    """Write `household.toml` as it was before it was taken over, byte for byte; twice is once.

    Raises BadInput, with the file as it is, where it was edited since, or something else was taken over.
    """
    now, before = (home.folder / SETTINGS).read_bytes(), _kept(home, name)
    if before is None:
        wrong = "that was taken over too long ago to be taken back, or something else was since."
        raise BadInput(Mistake(SETTINGS, None, "", wrong, "Write what is to hold into household.toml."))
    if now == before:
        return
    if _name(now) != name:
        wrong = "the household's file was edited since that was taken over, so it stays as it is."
        raise BadInput(Mistake(SETTINGS, None, "", wrong, f"Change it there. Before, it said {_said(before)}."))
    _write(home, before, now)


def _name(data: bytes) -> str:
    return sha256(data).hexdigest()[:24]


def _keep(home: Home, before: bytes, name: str) -> None:
    folder = home.folder / STATE / BEFORE
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_file(folder / f"{name}.toml", before)
    except (OSError, CalendarError) as error:
        reason = error.strerror if isinstance(error, OSError) else error
        raise StorageError(f"What household.toml says now cannot be kept: {reason}. Nothing was changed.") from error


def _forget_others(home: Home, name: str) -> None:
    """Forget what was kept before: only what was taken over last is taken back."""
    for file in (home.folder / STATE / BEFORE).glob("*.toml"):
        if file.stem != name:
            with suppress(OSError):
                file.unlink()


def _kept(home: Home, name: str) -> bytes | None:
    file = home.folder / STATE / BEFORE / f"{name}.toml"
    return file.read_bytes() if re.fullmatch("[0-9a-f]{24}", name) and file.is_file() else None


def _write(home: Home, data: bytes, before: bytes) -> None:
    """Write `household.toml`; where it cannot be read any more, write what it was before. Raises BadInput."""
    write_file(home.folder / SETTINGS, data)
    try:
        read_home(home.folder)
    except BadInput:
        write_file(home.folder / SETTINGS, before)
        raise


def _said(before: bytes) -> str:
    """Return what a text says of the habit and of the reserve in figures."""
    tables = tomllib.loads(before.decode())
    keys = (("habits", "loaves_a_week"), ("reserve", "portions"))
    said = [f"{key} = {tables[table][key]}" for table, key in keys if key in tables.get(table, {})]
    return " and ".join(said) or "nothing of the habit and of the reserve"


def _share(by_day: Mapping[int, float]) -> str:
    """Return a bread's part of what is eaten: one figure where it is the same every day."""
    if len(by_day) == 7 and len(set(by_day.values())) == 1:
        return f"{by_day[0]:g}"
    return "{ " + ", ".join(f"{DAYS[day]} = {share:g}" for day, share in sorted(by_day.items())) + " }"
