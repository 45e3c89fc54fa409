"""Turn what the models refuse into words: what is wrong with a setting, and an example of what is right."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from difflib import get_close_matches
from typing import Any, NamedTuple, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from rotation.errors import Mistake
from rotation.household.fields import example, model_at, stand_in
from rotation.household.lines import Path
from rotation.household.toml_file import TomlFile, printable

M = TypeVar("M", bound=BaseModel)
_ROUNDS = 8
"""How often wrong settings are taken away before a file is given up; settings lie less deep than this."""
SECRETS = frozenset({"url", "url_from", "password_from"})
"""Settings whose values are never repeated."""


class Wrong(NamedTuple):
    """A setting that makes no sense, why, and what to write instead."""

    at: Path
    wrong: str
    instead: str = ""


def repeated(named: Iterable[tuple[Path, str]]) -> Iterator[Wrong]:
    """Yield every name that was given before."""
    seen: set[str] = set()
    for at, name in named:
        if name.casefold() in seen:
            yield Wrong(at, f"{shown(name)} is there twice.", "Give each its own.")
        seen.add(name.casefold())


def validated(model: type[M], file: TomlFile) -> tuple[M | None, list[Mistake]]:
    """Return the model of a file and every mistake found.

    Where only some settings are wrong, the model is built without them, so that what is said elsewhere in the file can
    still be looked at. It is None if that cannot be done.
    """
    try:
        return model.model_validate(file.data), []
    except ValidationError as error:
        found = _by_place(error.errors(include_url=False), file.data)
        mistakes = [file.mistake(at, wrong, instead) for at, several in found.items()
                    for wrong, instead in _in_words(model, at, several)]  # fmt: skip
        return _without(model, file.data, found), mistakes


def closest(written: str, known: Iterable[str]) -> str:
    """Return "Do you mean ...?" for a near known name, else all known names."""
    names = sorted(known)
    near = get_close_matches(written.casefold(), names, 1, 0.6)
    if near:
        return f'Do you mean "{near[0]}"?'
    return f"Known here: {', '.join(names)}." if names else ""


def shown(value: object) -> str:
    """Return a value as a person wrote it, cut short and safe to print."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{printable(value)}"'
    if isinstance(value, Mapping):
        return "a table"
    return "a list" if isinstance(value, list) else printable(str(value))


def _by_place(errors: list[ErrorDetails], data: Mapping[str, Any]) -> dict[Path, list[ErrorDetails]]:
    """Gather errors by the setting as written: a union's branches belong to one setting."""
    found: dict[Path, list[ErrorDetails]] = {}
    for error in errors:
        at: Path = ()
        inside: Any = data
        for part in error["loc"]:
            if isinstance(inside, Mapping) and (part in inside or error["type"] == "missing"):
                at, inside = (*at, part), inside.get(part)
            elif isinstance(inside, list) and isinstance(part, int) and part < len(inside):
                at, inside = (*at, part), inside[part]
        found.setdefault(at, []).append(error)
    return {at: several for at, several in found.items() if not _follows(at, several, found)}


def _follows(at: Path, errors: list[ErrorDetails], found: Iterable[Path]) -> bool:
    """Say whether a list is too short only because of mistakes within it, which are reported themselves."""
    return errors[0]["type"] == "too_short" and any(len(o) > len(at) and o[: len(at)] == at for o in found)


def _without(model: type[M], data: Mapping[str, Any], places: Iterable[Path]) -> M | None:
    """Return the model of the data without the settings at these places, or, if need be, without what holds them.

    A number that must be there is stood in for by its example.
    """
    rest = _copied(data)
    for _ in range(_ROUNDS):
        if any(not any(isinstance(part, str) for part in place) for place in places):
            return None
        for place in places:
            _drop(rest, place)
        try:
            return model.model_validate(rest)
        except ValidationError as error:
            found = _by_place(error.errors(include_url=False), rest)
        lacking = {place for place, errors in found.items() if errors[0]["type"] == "missing"}
        stood_in = {place for place in lacking if stand_in(model, rest, place)}
        places = [place[:-1] if place in lacking else place for place in found if place not in stood_in]
    return None


def _drop(data: Any, place: Path) -> None:
    """Take away the setting at a place; of a list, all of it."""
    last = max(index for index, part in enumerate(place) if isinstance(part, str))
    for part in place[:last]:
        try:
            data = data[part]
        except KeyError:
            return
    data.pop(place[last], None)


def _copied(value: Any) -> Any:
    """Return tables and lists anew."""
    if isinstance(value, Mapping):
        return {key: _copied(inner) for key, inner in value.items()}
    return [_copied(inner) for inner in value] if isinstance(value, list) else value


def _in_words(model: type[BaseModel], at: Path, errors: list[ErrorDetails]) -> list[tuple[str, str]]:
    own = [error for error in errors if error["type"] == "value_error"]
    if own:
        said = str(own[0].get("ctx", {}).get("error", own[0]["msg"]))
        value = own[0]["input"]
        lines = [line.partition("; ") for line in said.split("\n")]
        return [(_with_value(wrong, value), _sentence(instead)) for wrong, _, instead in lines]
    if errors[0]["type"] == "extra_forbidden":
        owner = model_at(model, at[:-1])
        known = [f.alias or name for name, f in owner.model_fields.items()] if owner else []
        return [(f"there is no setting {shown(str(at[-1]))} here.", closest(str(at[-1]), known))]
    wrong = " and ".join(dict.fromkeys(_reason(error) for error in errors))
    if errors[0]["type"] != "missing":
        wrong = f"{'what is written' if at[-1] in SECRETS else shown(errors[0]['input'])} {wrong}"
    return [(f"{wrong}.", _suggested(errors) or example(model, at))]


def _with_value(wrong: str, value: object) -> str:
    return f"{shown(value)} {wrong}." if wrong.startswith("is ") else f"{wrong}."


def _sentence(text: str) -> str:
    if not text:
        return ""
    return text[0].upper() + text[1:] + ("" if text.endswith((".", "?")) else ".")


_REASONS = {
    "missing": "is missing",
    **dict.fromkeys(("int_parsing", "int_parsing_size", "int_type", "int_from_float"), "is not a whole number"),
    "float_parsing": "is not a number", "float_type": "is not a number", "finite_number": "is not a finite number",
    "string_type": "is not a text in quotes", "string_too_short": "is empty", "string_too_long": "is too long",
    "bool_type": "is not true or false", "bool_parsing": "is not true or false",
    "tuple_type": "is not a list", "list_type": "is not a list", "dict_type": "is not a table",
    "model_type": "is not a table", "model_attributes_type": "is not a table",
}  # fmt: skip
"""What is wrong, by the kind of error pydantic reports."""


_ID_WORDS = 'has more than small letters, digits, "-" and "_"'


def _reason(error: ErrorDetails) -> str:
    context = error.get("ctx", {})
    kind = error["type"]
    if kind in ("greater_than_equal", "greater_than", "less_than_equal", "less_than"):
        bound = next(iter(context.values()))
        words = {"greater_than_equal": "below the least that is possible, ", "greater_than": "not above ",
                 "less_than_equal": "above the most that makes sense, ", "less_than": "not below "}  # fmt: skip
        return f"is {words[kind]}{bound:g}"
    if kind == "literal_error":
        return f"is not one of {context['expected']}".replace("'", '"')
    if kind == "string_pattern_mismatch":
        return "has signs that cannot be printed" if "x00" in context["pattern"] else _ID_WORDS
    if kind in ("too_short", "missing_argument"):
        return f"needs {context.get('min_length', 2)} or more"
    if kind == "too_long":
        return f"takes {context.get('max_length', 2)} at most"
    if kind.startswith(("date", "time")):
        return "is not a date or a moment"
    return _REASONS.get(kind, error["msg"][:1].lower() + error["msg"][1:])


def _suggested(errors: list[ErrorDetails]) -> str:
    """Return the nearest word where a choice of words was expected."""
    for error in errors:
        if error["type"] == "literal_error" and isinstance(error["input"], str):
            words = [word.strip("'") for word in error["ctx"]["expected"].replace(" or ", ", ").split(", ")]
            near = get_close_matches(error["input"].casefold(), words, 1, 0.6)
            if near:
                return f'Do you mean "{near[0]}"?'
    return ""
