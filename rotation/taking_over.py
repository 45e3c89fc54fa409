"""What is found of a household's eating as settings, and written into its file when the family says so."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from calendars.writing import write_file
from rotation.eating import Eating
from rotation.errors import BadInput
from rotation.household.reading import SETTINGS, Home, read_home
from rotation.household.rewriting import with_setting
from rotation.household.values import DAYS


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

    Raises BadInput, with the file as it was, where its layout is one that cannot be written anew.
    """
    file = home.folder / SETTINGS
    before = text = file.read_text(encoding="utf-8")
    for (table, key), value in settings(eating).items():
        text = with_setting(text, table, key, value)
    write_file(file, text.encode())
    try:
        read_home(home.folder)
    except BadInput:
        write_file(file, before.encode())
        raise
    return file


def _share(by_day: Mapping[int, float]) -> str:
    """Return a bread's part of what is eaten: one figure where it is the same every day."""
    if len(by_day) == 7 and len(set(by_day.values())) == 1:
        return f"{by_day[0]:g}"
    return "{ " + ", ".join(f"{DAYS[day]} = {share:g}" for day, share in sorted(by_day.items())) + " }"
