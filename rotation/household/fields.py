"""Which field of the models stands at a path of a file, and an example of what is right for it."""

from __future__ import annotations

import json
import types
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from rotation.household.lines import Path


def example(model: type[BaseModel], at: Path) -> str:
    """Return "Write name = value" from a field's own example, or from its default."""
    names = [i for i, part in enumerate(at) if isinstance(part, str)]
    for place in reversed(names):
        owner = model_at(model, at[:place])
        known = _field(owner, str(at[place])) if owner else None
        if owner is None or known is None:
            continue
        value = _example_of(owner, *known)
        return "" if value is None else f"Write {at[place]} = {_toml(value)}"
    return ""


def _example_of(owner: type[BaseModel], name: str, field: FieldInfo) -> Any:
    """Return a value that is right for a field: its own example, its default, one of its type, or None."""
    if field.examples:
        return field.examples[0]
    if not field.is_required():
        default = owner.model_construct().model_dump(mode="json").get(name)
        if default not in (None, {}, []) and not isinstance(default, dict):
            return default
    return _example_in(field.annotation)


def _example_in(annotation: Any) -> Any:
    """Return an example found anywhere within an annotation; a list's stands in brackets."""
    if get_origin(annotation) is Literal:
        return get_args(annotation)[0]
    if annotation is bool:
        return True
    for part in get_args(annotation):
        if isinstance(part, FieldInfo) and part.examples:
            return part.examples[0]
    found = next((one for part in get_args(annotation) if (one := _example_in(part)) is not None), None)
    return [found] if found is not None and get_origin(annotation) is tuple else found


def _toml(value: Any) -> str:
    if isinstance(value, str) and (value[:1] in ("[", "{") or value[:4].isdigit()):
        return value
    return json.dumps(value, ensure_ascii=False)


def _field(owner: type[BaseModel], key: str) -> tuple[str, FieldInfo] | None:
    return next(((name, f) for name, f in owner.model_fields.items() if (f.alias or name) == key), None)


def model_at(model: type[BaseModel], at: Path) -> type[BaseModel] | None:
    """Return the model whose settings stand at a path."""
    inside: Any = model
    for part in at:
        if isinstance(inside, type) and issubclass(inside, BaseModel):
            found = _field(inside, str(part))
            inside = _bare(found[1].annotation) if found else None
        elif get_origin(inside) is not None:
            inside = _bare(get_args(inside)[0 if isinstance(part, int) else -1])
    return inside if isinstance(inside, type) and issubclass(inside, BaseModel) else None


def _bare(annotation: Any) -> Any:
    """Return an annotation without Annotated and without None."""
    while True:
        if get_origin(annotation) is Annotated:
            annotation = get_args(annotation)[0]
        elif get_origin(annotation) in (Union, types.UnionType):
            annotation = next(arg for arg in get_args(annotation) if arg is not type(None))
        else:
            return annotation


def stand_in(model: type[BaseModel], data: Any, place: Path) -> bool:
    """Put a number's example where it is missing; say whether that was done."""
    owner = model_at(model, place[:-1])
    known = _field(owner, str(place[-1])) if owner else None
    number = known[1].examples[0] if known and known[1].examples else None
    if not isinstance(number, int | float):
        return False
    for part in place[:-1]:
        data = data[part]
    data[place[-1]] = number
    return True
