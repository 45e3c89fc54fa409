"""JSON Schema of what `rotation plan --json` prints. Readers may rely on every key named here; more may be added."""

from __future__ import annotations

from typing import Any

from rotation.problem import FIXED
from rotation.show.plan_json import SCHEMA

Json = dict[str, Any]

TIME: Json = {
    "type": "string",
    "pattern": r"^\d{4}-\d\d-\d\dT\d\d:\d\d[+-]\d\d:\d\d$",
    "description": "ISO 8601, the household's local time with its offset",
}
TEXT: Json = {"type": "string"}
ID: Json = {"type": "string", "minLength": 1}
FLAG: Json = {"type": "boolean"}
COUNT: Json = {"type": "integer", "minimum": 0}
WHOLE: Json = {"type": "integer"}
MAYBE_WHOLE: Json = {"type": ["integer", "null"]}
_SHORT: Json = {
    "type": ["string", "null"],
    "description": "its name for `rotation done`; null: nothing to be said of it",
}
DATE: Json = {"type": "string", "pattern": r"^\d{4}-\d\d-\d\d$"}


def plan_schema() -> Json:
    """Return the schema, draft 2020-12."""
    schema: Json = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:bread-rotation:{SCHEMA}",
        "title": "A bread plan",
        "description": (
            "The shown days of one checked plan. Spans are half-open. Pieces of a sliced form are slices. Cost and "
            "tiers are of the whole horizon with its tail. Every item has an id; `who` is the id of a person."
        ),
        **_object(
            {
                "schema": {"const": SCHEMA},
                "household": _said(TEXT, "its name"),
                "zone": _said(TEXT, "IANA name"),
                "now": TIME,
                "horizon": _object(
                    {
                        "start": TIME,
                        "end": _said(TIME, "end of the shown days"),
                        "tail_end": _said(TIME, "end of the days the cost looks at"),
                    }
                ),
                "status": {"enum": ["optimal", "feasible"]},
                "gap": {
                    "type": ["number", "null"],
                    "minimum": 0,
                    "description": "share a better plan could save; null: not known",
                },
                "canonical": _said(FLAG, "whether no other plan is as good"),
                "changed": _said(TEXT, "against the plan kept before, and why; empty where nothing is other"),
                "checked": {"const": True, "description": "every rule was found kept by code apart from the solver"},
                "tiers": _list(
                    {"name": TEXT, "value": WHOLE, "bound": MAYBE_WHOLE}, "goals, the first before all others"
                ),
                "cost": _object(
                    {
                        "unit": TEXT,
                        "total": WHOLE,
                        "terms": _list({"name": TEXT, "value": WHOLE}, "their sum is the total"),
                    }
                ),
                **_things(),
            }
        ),
    }
    schema["properties"]["problem"] = {
        "type": "object",
        "description": (
            "With --with-problem: all inputs as understood. Instants are ISO 8601, spans {start, end}, step functions "
            "lists of {from, value}; other times are elapsed minutes, prices thousandths of an effort minute."
        ),
    }
    return schema


def _things() -> Json:
    return {
        "days": _list(
            {
                "bread_today": _said(TEXT, "whether there is enough"),
                "lines": _list(
                    {
                        "start": TIME,
                        "times": _said(TEXT, "as a family reads them; empty: at no minute"),
                        "who": _said(TEXT, "a name, or empty"),
                        "what": TEXT,
                        "short": _SHORT,
                    }
                ),
                "freezer_tonight": TEXT,
            },
            "the printed lines of each shown day, in order; id: its date",
        ),
        "instructions": _list(
            {
                "for": _said(ID, "bake, thaw or finish"),
                "step": _said(ID, "a step of the bake, out, thaw or finish"),
                "text": {"type": "array", "items": TEXT},
            },
            "what to do at each step, in full",
        ),
        "people": _list(
            {"name": TEXT, "adult": FLAG, "bakes": FLAG, "finishes": FLAG, "hands": COUNT}, "hands: minutes in the plan"
        ),
        "lots": _list(
            {
                "letter": TEXT,
                "bread": ID,
                "form": ID,
                "pieces": COUNT,
                "bagged": TIME,
                "through": _said(TIME, "frozen through"),
                "eat_first": TIME,
                "toast_after": TIME,
                "strict": _said(_or_null(TIME), "may not leave the freezer to be eaten after this"),
                "bake": _said(_or_null(ID), "the bake that fills it; null: there at the start"),
            },
            "bags of the start and of the plan, oldest first",
        ),
        "bakes": _list(
            {
                "bread": ID,
                "process": ID,
                "pieces": COUNT,
                "to_table": COUNT,
                "to_freezer": COUNT,
                "form": _said(_or_null(ID), "of most frozen pieces"),
                "treatments": _list({"pieces": COUNT, "lot": _or_null(ID)}, "id: table, or the form it is frozen in"),
                "day": _said(DATE, "of the mix"),
                "steps": _list(_step(), "hands up to the oven, and bagging; those at the oven are in `oven`"),
                "short_out": {**_SHORT, "description": "name of all its loaves being out of the oven"},
                "stay": ID,
                "ready": _said(TIME, "table pieces may be eaten"),
                "put_in": _or_null(TIME),
                "meals": _meals(),
                "under_way": _or_null(ID),
                "late": {"type": "array", "items": TEXT, "description": "steps beyond their longest wait"},
            }
        ),
        "oven": _list(
            {
                "oven": ID,
                "for": _said(ID, "bake or finish"),
                "heat": {"type": "string", "pattern": "^(cold|(after|with|beside):.+)$"},
                "heat_from": TIME,
                "start": TIME,
                "end": TIME,
                "who_on": _or_null(ID),
                "programme": _object(
                    {
                        "degc": _said(WHOLE, "at the start"),
                        "vessel": FLAG,
                        "turns": _list({"time": TIME, "degc": WHOLE}, "other temperatures to set on the way"),
                    }
                ),
                "loads": _list({"pieces": COUNT, "start": TIME, "uncover": TIME, "out": TIME}),
                "events": _list(_step()),
            }
        ),
        "thaws": _list(
            {
                "short": _SHORT,
                "lots": _list({"pieces": COUNT}, "oldest first"),
                "bread": ID,
                "form": ID,
                "pieces": COUNT,
                "place": {"enum": ["worktop", "fridge", "none"]},
                "route": ID,
                "gives": {"enum": ["finished", "thawed", "toast"]},
                "start": TIME,
                "end": TIME,
                "who": _or_null(ID),
                "trip": _or_null(ID),
                "meals": _meals(),
            },
            "all that leaves the freezer to be eaten",
        ),
        "finishes": _list(
            {
                "short": _SHORT,
                "thaw": ID,
                "lots": _list({"pieces": COUNT}),
                "bread": ID,
                "pieces": COUNT,
                "route": ID,
                "stay": ID,
                "start": TIME,
                "end": TIME,
                "ready": TIME,
                "who": ID,
                "who_out": ID,
                "meals": _meals(),
            }
        ),
        "bought": _list({"loaves": COUNT, "buy_by": TIME, "meals": _meals()}),
        "discards": _list({"lot": ID, "bread": ID, "form": ID, "pieces": COUNT, "at": TIME}),
        "bread_box": _list(
            {
                "origin": {"enum": ["box", "bake", "take-out", "bought"]},
                "bread": _or_null(ID),
                "kind": TEXT,
                "portions": COUNT,
                "ready": TIME,
                "until": TIME,
                "meals": _meals(),
            },
            "bread ready to eat, by the time it is ready",
        ),
        "meals": _list(
            {
                "uid": TEXT,
                "summary": TEXT,
                "start": TIME,
                "heads": COUNT,
                "portions": COUNT,
                "served": COUNT,
                "shortfall": COUNT,
                "strict": FLAG,
                "from": _list({"source": ID, "kind": TEXT, "bread": _or_null(ID), "portions": COUNT}),
            }
        ),
        "freezer": _list(
            {"time": TIME, "bread": ID, "form": ID, "pieces": COUNT}, "at the start, then after each change"
        ),
        "shortfalls": _list(
            {
                "meal": ID,
                "summary": TEXT,
                "start": TIME,
                "portions": COUNT,
                "strict": FLAG,
                "because": {"type": "array", "items": TEXT},
            }
        ),
        "wishes": _list(
            {
                "kind": {"enum": [*FIXED, "no bake", "no finish", "no thaw"]},
                "bread": ID,
                "step": TEXT,
                "at": TIME,
                "until": TIME,
                "said": TEXT,
                "kept": _or_null(FLAG),
                "cost": _or_null(WHOLE),
                "because": TEXT,
            }
        ),
        "notes": _list({"text": TEXT}),
    }


def _step() -> Json:
    return {
        "name": TEXT,
        "short": _SHORT,
        "start": TIME,
        "end": TIME,
        "hands": _said(COUNT, "minutes"),
        "who": _said(_or_null(ID), "null: done before the start"),
        "uses": {"type": "array", "items": TEXT},
    }


def _meals() -> Json:
    return _list({"portions": COUNT}, "meals that eat of it")


def _object(properties: Json) -> Json:
    return {"type": "object", "properties": properties, "required": list(properties)}


def _list(properties: Json, meaning: str = "") -> Json:
    """Return the schema of a list of things, each with an id."""
    listed: Json = {"type": "array", "items": _object({"id": ID, **properties})}
    return _said(listed, meaning) if meaning else listed


def _or_null(schema: Json) -> Json:
    return {"anyOf": [schema, {"type": "null"}]}


def _said(schema: Json, meaning: str) -> Json:
    return {**schema, "description": meaning}
