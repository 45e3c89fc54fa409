"""JSON Schema of what `rotation plan --json` prints. Readers may rely on every key named here; more may be added."""

from __future__ import annotations

from rotation.problem import FIXED
from rotation.show.plan_json import SCHEMA
from rotation.show.schema_parts import (
    COUNT,
    DATE,
    FLAG,
    ID,
    MAYBE_WHOLE,
    SHORT,
    TEXT,
    TIME,
    WHOLE,
    Json,
    list_,
    object_,
    or_null,
    said,
)
from rotation.show.sketch import sketch_schema


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
        **object_(
            {
                "schema": {"const": SCHEMA},
                "household": said(TEXT, "its name"),
                "zone": said(TEXT, "IANA name"),
                "now": TIME,
                "horizon": object_(
                    {
                        "start": TIME,
                        "end": said(TIME, "end of the shown days"),
                        "tail_end": said(TIME, "end of the days the cost looks at"),
                    }
                ),
                "status": {"enum": ["optimal", "feasible"]},
                "gap": {
                    "type": ["number", "null"],
                    "minimum": 0,
                    "description": "share a better plan could save; null: not known",
                },
                "canonical": said(FLAG, "whether it is proven to be the first of all plans as good, in a fixed order"),
                "path": {"type": "array", "items": TEXT, "description": "what the solver met with on its way"},
                "changed": said(TEXT, "against the plan kept before, and why; empty where nothing is other"),
                "checked": {"const": True, "description": "every rule was found kept by code apart from the solver"},
                "tiers": list_(
                    {"name": TEXT, "value": WHOLE, "bound": MAYBE_WHOLE}, "goals, the first before all others"
                ),
                "cost": object_(
                    {
                        "unit": TEXT,
                        "total": WHOLE,
                        "terms": list_({"name": TEXT, "value": WHOLE}, "their sum is the total"),
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
        "days": list_(
            {
                "bread_today": said(TEXT, "whether there is enough"),
                "lines": list_(
                    {
                        "start": TIME,
                        "times": said(TEXT, "as a family reads them; empty: at no minute"),
                        "who": said(TEXT, "a name, or empty"),
                        "what": TEXT,
                        "short": SHORT,
                        "for": said(or_null(ID), "the bake, thaw or finish a person may speak of"),
                        "step": or_null(ID),
                        "kind": {"enum": ["do", "eat", "note"]},
                        "caution": said(TEXT, "what to mind at it, or empty"),
                    }
                ),
                "freezer_tonight": TEXT,
            },
            "the printed lines of each shown day, in order; id: its date",
        ),
        "instructions": list_(
            {
                "for": said(ID, "bake, thaw or finish"),
                "step": said(ID, "a step of the bake, out, thaw or finish"),
                "text": {"type": "array", "items": TEXT},
            },
            "what to do at each step, in full",
        ),
        "strips": _strips(),
        "people": list_(
            {"name": TEXT, "adult": FLAG, "bakes": FLAG, "finishes": FLAG, "hands": COUNT}, "hands: minutes in the plan"
        ),
        "lots": list_(
            {
                "letter": TEXT,
                "bread": ID,
                "form": ID,
                "pieces": COUNT,
                "bagged": TIME,
                "through": said(TIME, "frozen through"),
                "eat_first": TIME,
                "toast_after": TIME,
                "strict": said(or_null(TIME), "may not leave the freezer to be eaten after this"),
                "bake": said(or_null(ID), "the bake that fills it; null: there at the start"),
            },
            "bags of the start and of the plan, oldest first",
        ),
        "bakes": list_(
            {
                "bread": ID,
                "process": ID,
                "pieces": COUNT,
                "to_table": COUNT,
                "to_freezer": COUNT,
                "form": said(or_null(ID), "of most frozen pieces"),
                "treatments": list_({"pieces": COUNT, "lot": or_null(ID)}, "id: table, or the form it is frozen in"),
                "day": said(DATE, "of the mix"),
                "steps": list_(_step(), "hands up to the oven, and bagging; those at the oven are in `oven`"),
                "short_out": {**SHORT, "description": "name of all its loaves being out of the oven"},
                "stay": ID,
                "ready": said(TIME, "table pieces may be eaten"),
                "put_in": or_null(TIME),
                "meals": _meals(),
                "under_way": or_null(ID),
                "late": {"type": "array", "items": TEXT, "description": "steps beyond their longest wait"},
            }
        ),
        "oven": list_(
            {
                "oven": ID,
                "for": said(ID, "bake or finish"),
                "heat": {"type": "string", "pattern": "^(cold|(after|with|beside):.+)$"},
                "heat_from": TIME,
                "start": TIME,
                "end": TIME,
                "who_on": or_null(ID),
                "programme": object_(
                    {
                        "degc": said(WHOLE, "at the start"),
                        "vessel": FLAG,
                        "turns": list_({"time": TIME, "degc": WHOLE}, "other temperatures to set on the way"),
                    }
                ),
                "loads": list_({"pieces": COUNT, "start": TIME, "uncover": TIME, "out": TIME}),
                "events": list_(_step()),
            }
        ),
        "thaws": list_(
            {
                "short": SHORT,
                "lots": list_({"pieces": COUNT}, "oldest first"),
                "bread": ID,
                "form": ID,
                "pieces": COUNT,
                "place": {"enum": ["worktop", "fridge", "none"]},
                "route": ID,
                "gives": {"enum": ["finished", "thawed", "toast"]},
                "start": TIME,
                "end": TIME,
                "who": or_null(ID),
                "trip": or_null(ID),
                "meals": _meals(),
            },
            "all that leaves the freezer to be eaten",
        ),
        "finishes": list_(
            {
                "short": SHORT,
                "thaw": ID,
                "lots": list_({"pieces": COUNT}),
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
        "feeds": list_(
            {"short": SHORT, "start": TIME, "end": TIME, "who": ID, "ahead": or_null(TIME), "what": TEXT},
            "of the starter, beside any bake",
        ),
        "bought": list_({"loaves": COUNT, "buy_by": TIME, "meals": _meals()}),
        "discards": list_({"lot": ID, "bread": ID, "form": ID, "pieces": COUNT, "at": TIME}),
        "bread_box": list_(
            {
                "origin": {"enum": ["box", "bake", "take-out", "bought"]},
                "bread": or_null(ID),
                "kind": TEXT,
                "portions": COUNT,
                "ready": TIME,
                "until": TIME,
                "meals": _meals(),
            },
            "bread ready to eat, by the time it is ready",
        ),
        "meals": list_(
            {
                "uid": TEXT,
                "summary": TEXT,
                "start": TIME,
                "heads": COUNT,
                "portions": COUNT,
                "served": COUNT,
                "shortfall": COUNT,
                "strict": FLAG,
                "says": said(TEXT, "what it gets, in words"),
                "holds": said(TEXT, "for guests: what is in it, and what is not"),
                "from": list_({"source": ID, "kind": TEXT, "bread": or_null(ID), "portions": COUNT}),
            }
        ),
        "freezer": list_(
            {"time": TIME, "bread": ID, "form": ID, "pieces": COUNT}, "at the start, then after each change"
        ),
        "shortfalls": list_(
            {
                "meal": ID,
                "summary": TEXT,
                "start": TIME,
                "portions": COUNT,
                "strict": FLAG,
                "because": {"type": "array", "items": TEXT},
            }
        ),
        "wishes": list_(
            {
                "kind": {"enum": [*FIXED, "no bake", "no finish", "no thaw"]},
                "bread": ID,
                "step": TEXT,
                "at": TIME,
                "until": TIME,
                "said": TEXT,
                "kept": or_null(FLAG),
                "cost": or_null(WHOLE),
                "because": TEXT,
            }
        ),
        "sketch": said(or_null(sketch_schema()), "the days after the horizon, if more were asked for"),
        "notes": list_({"text": TEXT}),
    }


def _strips() -> Json:
    span = {"start": TIME, "end": TIME}
    level = {"time": TIME, "used": COUNT, "of": COUNT}
    job = {**span, "what": TEXT, "bread": or_null(ID)}
    on = {**span, "heat_from": TIME, "degc": WHOLE, "bread": ID}
    strips = object_(
        {
            "people": list_({"name": TEXT, "free": list_(span), "jobs": list_(job)}, "free: for jobs of two minutes"),
            "ovens": list_({"name": TEXT, "taken": list_(span), "on": list_(on)}, "taken: by the family itself"),
            "fridge": list_(level, "spots, at the start and after each change"),
            "freezer": list_(level, "decilitres, at the start and after each change"),
        }
    )
    return said(strips, "the plan as strips over time, for a picture")


def _step() -> Json:
    return {
        "name": TEXT,
        "short": SHORT,
        "start": TIME,
        "end": TIME,
        "hands": said(COUNT, "minutes"),
        "who": said(or_null(ID), "null: done before the start"),
        "uses": {"type": "array", "items": TEXT},
    }


def _meals() -> Json:
    return list_({"portions": COUNT}, "meals that eat of it")
