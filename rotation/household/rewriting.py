"""One setting of `household.toml` written anew in place, comments and all else left as they are."""

from __future__ import annotations

import re

_VALUE = r"""\{(?:[^{}]|\{[^{}]*\})*\}|\[[^\[\]]*\]|"[^"]*"|[^#\s]+"""


def with_setting(text: str, table: str, key: str, value: str) -> str:
    """Return a TOML text with `key` of `[table]` set. The rest of its line, a comment, stays; what is missing is added.

    Knows plain tables and one-line values, with a table within a table at most, which is all that is ever asked for;
    whoever calls reads the result again.
    """
    lines = text.splitlines()
    header = re.compile(rf"\s*\[\s*{re.escape(table)}\s*\]\s*(#.*)?")
    at = next((number for number, line in enumerate(lines) if header.fullmatch(line)), None)
    if at is None:
        return "\n".join([*lines, "", f"[{table}]", f"{key} = {value}"]) + "\n"
    setting = re.compile(rf"(\s*{re.escape(key)}\s*=\s*)({_VALUE})(.*)")
    for number in range(at + 1, len(lines)):
        if lines[number].lstrip().startswith("["):
            break
        if found := setting.fullmatch(lines[number]):
            lines[number] = f"{found[1]}{value}{found[3]}"
            return "\n".join(lines) + "\n"
    return "\n".join([*lines[: at + 1], f"{key} = {value}", *lines[at + 1 :]]) + "\n"
