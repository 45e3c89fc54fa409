"""Where in a TOML file each setting stands: a scanner for text that is known to be valid TOML."""

from __future__ import annotations

import re
from bisect import bisect_left
from dataclasses import dataclass, field
from functools import cached_property

Path = tuple[str | int, ...]

_BLANK = re.compile(r"[ \t]*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_BARE_VALUE = re.compile(r"[^,\]}#\n]*")
_STRINGS = {
    '"""': re.compile(r'"""(?:\\.|[^\\])*?"{3,5}', re.DOTALL),
    "'''": re.compile(r"'''.*?'{3,5}", re.DOTALL),
    '"': re.compile(r'"(?:\\.|[^"\\\n])*"'),
    "'": re.compile(r"'[^'\n]*'"),
}


def lines_of(text: str) -> dict[Path, int]:
    """Return the 1-based line of every table, key and list item of a valid TOML text, by its path."""
    scanner = _Scanner(text.replace("\r\n", "\n"))
    scanner.document()
    return scanner.lines


def line_of(lines: dict[Path, int], path: Path) -> int | None:
    """Return the line of a path, or of the nearest thing around it that is written; None for the whole file."""
    while path:
        if path in lines:
            return lines[path]
        path = path[:-1]
    return None


@dataclass
class _Scanner:
    text: str
    at: int = 0
    lines: dict[Path, int] = field(default_factory=dict)
    tables: dict[Path, int] = field(default_factory=dict)
    """The index of the last table of each array of tables."""

    def document(self) -> None:
        table: Path = ()
        while self._skip():
            if self.text.startswith("[", self.at):
                table = self._header()
            else:
                self._pair(table)

    def _skip(self) -> bool:
        """Pass blanks, line ends and comments; say whether something follows."""
        while self.at < len(self.text):
            sign = self.text[self.at]
            if sign == "#":
                end = self.text.find("\n", self.at)
                self.at = end if end >= 0 else len(self.text)
            elif sign in " \t\n\ufeff":
                self.at += 1
            else:
                return True
        return False

    def _note(self, path: Path, line: int) -> None:
        self.lines.setdefault(path, line)

    @cached_property
    def _ends(self) -> list[int]:
        return [found.start() for found in re.finditer("\n", self.text)]

    def _line(self) -> int:
        return bisect_left(self._ends, self.at) + 1

    def _blank(self) -> None:
        found = _BLANK.match(self.text, self.at)
        self.at = found.end() if found else self.at

    def _header(self) -> Path:
        many, line = self.text.startswith("[[", self.at), self._line()
        self.at += 2 if many else 1
        *outer, last = self._keys()
        path: Path = ()
        for key in outer:
            path = (*path, key)
            self._note(path, line)
            path = (*path, self.tables[path]) if path in self.tables else path
        path = (*path, last)
        self._note(path, line)
        if many:
            self.tables[path] = self.tables.get(path, -1) + 1
            path = (*path, self.tables[path])
            self._note(path, line)
        self.at += 2 if many else 1
        return path

    def _keys(self) -> list[str]:
        keys = []
        while True:
            self._blank()
            if self.text[self.at] in "\"'":
                keys.append(self._string()[1:-1])
            else:
                found = _BARE_KEY.match(self.text, self.at)
                if found is None:
                    raise ValueError("not valid TOML")
                keys.append(found[0])
                self.at = found.end()
            self._blank()
            if not self.text.startswith(".", self.at):
                return keys
            self.at += 1

    def _string(self) -> str:
        quote = next(q for q in _STRINGS if self.text.startswith(q, self.at))
        found = _STRINGS[quote].match(self.text, self.at)
        if found is None:
            raise ValueError("not valid TOML")
        self.at = found.end()
        return found[0]

    def _pair(self, table: Path) -> None:
        line, keys = self._line(), self._keys()
        for count in range(1, len(keys) + 1):
            self._note((*table, *keys[:count]), line)
        self.at += 1  # the equals sign
        self._value((*table, *keys))

    def _value(self, path: Path) -> None:
        self._blank()
        sign = self.text[self.at]
        if sign == "[":
            self._list(path)
        elif sign == "{":
            self._inline_table(path)
        elif sign in "\"'":
            self._string()
        else:
            found = _BARE_VALUE.match(self.text, self.at)
            self.at = found.end() if found else self.at + 1

    def _list(self, path: Path) -> None:
        self.at += 1
        item = 0
        while self._skip() and not self.text.startswith("]", self.at):
            self._note((*path, item), self._line())
            self._value((*path, item))
            item += 1
            if self._skip() and self.text.startswith(",", self.at):
                self.at += 1
        self.at += 1

    def _inline_table(self, path: Path) -> None:
        self.at += 1
        while self._skip() and not self.text.startswith("}", self.at):
            self._pair(path)
            if self._skip() and self.text.startswith(",", self.at):
                self.at += 1
        self.at += 1
