"""What the heat model has answered, kept in a household's folder of state, so that nobody waits for it twice.

One file of JSON, a digest of each question to its answer. It is written whole or not at all; where it cannot be read
or written, the model is asked again. Another version of the model asks anew.
"""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import asdict
from functools import cache
from hashlib import sha256
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from rotation.heat.asked import Answer, Question

VERSION = 5
"""Of the model and of the file: raised whenever an answer may change."""

FILE = "heat.json"
MOST_KEPT = 60


def digest(question: Question) -> str:
    """Return a name for a question that is the same wherever and whenever the same is asked."""
    return sha256(json.dumps([VERSION, asdict(question)], sort_keys=True).encode()).hexdigest()[:24]


def answers(
    questions: Mapping[str, Question], folder: Path | None, ask: Callable[[Question], Answer] | None = None
) -> dict[str, Answer]:
    """Return the answer to each question, from the folder's file where it is there. Raises OutsideModel.

    folder: None keeps nothing; one that is not there is made. ask: the model, if nothing else is given.
    """
    known = _read(folder) if folder else {}
    found: dict[str, Answer] = {}
    new: dict[str, Answer] = {}
    for name, question in questions.items():
        key = digest(question)
        if key not in known and key not in new:
            new[key] = (ask or _ask)(question)
        found[name] = new[key] if key in new else known[key]
    if folder and new:
        _write(folder, {**known, **new}, {digest(question) for question in questions.values()})
    return found


def _ask(question: Question) -> Answer:
    from rotation.heat.answering import answer

    return answer(question)


@cache
def _kept() -> TypeAdapter[dict[str, Answer]]:
    return TypeAdapter(dict[str, Answer])


def _read(folder: Path) -> dict[str, Answer]:
    with suppress(OSError, ValueError, ValidationError):
        data = json.loads((folder / FILE).read_bytes())
        if isinstance(data, dict) and data.get("version") == VERSION:
            return _kept().validate_python(data.get("answers"))
    return {}


def _write(folder: Path, answers: Mapping[str, Answer], now: Iterable[str]) -> None:
    """Write the newest answers; those just asked for last, so that they stay longest."""
    order = [*(key for key in answers if key not in set(now)), *(key for key in answers if key in set(now))]
    kept = {key: answers[key] for key in order[-MOST_KEPT:]}
    data = json.dumps({"version": VERSION, "answers": _kept().dump_python(kept)}).encode()
    with suppress(OSError):
        folder.mkdir(exist_ok=True)
        handle, part = tempfile.mkstemp(dir=folder, prefix=f".{FILE}.", suffix=".part")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            Path(part).chmod(0o644)
            Path(part).replace(folder / FILE)
        except BaseException:
            Path(part).unlink(missing_ok=True)
            raise
