"""JSON Schema of what `now`, `buy`, `eaten`, `check` and the commands of the freezer print with --json.

Readers may rely on every key named here; more may be added.
"""

from __future__ import annotations

from calendars.schema import ODDITY
from rotation.at_hand import KINDS
from rotation.keeping import Found, Verdict
from rotation.ledger import Kind, Standing
from rotation.show import buying, eaten, movements, now, outage, stock, understood
from rotation.show.schema_parts import (
    COUNT,
    DATE,
    FLAG,
    ID,
    SHORT,
    TEXT,
    TIME,
    WHOLE,
    Json,
    document,
    list_,
    object_,
    or_null,
    said,
)

SECOND: Json = {
    "type": "string",
    "pattern": r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d$",
    "description": "ISO 8601 to the second, the household's local time with its offset",
}
NUMBER: Json = {"type": "number"}
AMOUNT: Json = {"type": "number", "minimum": 0}


def now_schema() -> Json:
    """Return the schema of `rotation now --json`."""
    task = object_(
        {
            "at": TIME,
            "kind": {
                "enum": list(KINDS),
                "description": "on: of the oven; meal: taken out as it is eaten; finished: out of the oven, to stand",
            },
            "who": or_null(TEXT),
            "bread": or_null(ID),
            "pieces": said(COUNT, "slices where it is sliced"),
            "step": or_null(TEXT),
            "short": SHORT,
            "says": said(TEXT, "the same in words"),
        }
    )
    tasks: Json = {"type": "array", "items": task}
    return document(
        "What to do now and next",
        now.SCHEMA,
        {
            "at": TIME,
            "until": said(or_null(TIME), "end of the kept plan; null: no plan is kept"),
            "now": said(tasks, "what is due"),
            "next": said(tasks, "what comes next, at one moment"),
            "then": said(tasks, "what comes after that, at one moment"),
            "unsaid": said(tasks, "steps that are over and of which nothing was said"),
        },
    )


def buy_schema() -> Json:
    """Return the schema of `rotation buy --json`."""
    ingredient = object_(
        {
            "name": TEXT,
            "needed_grams": said(AMOUNT, "for all bakes of the kept plan to come"),
            "there_grams": AMOUNT,
            "buy_grams": AMOUNT,
            "packs": said(or_null({**COUNT, "minimum": 1}), "null: its size is not known"),
            "pack_grams": or_null(AMOUNT),
            "first": said(object_({"bread": ID, "at": TIME}), "the step at which what is there runs out"),
            "by": said(or_null(TIME), "the shop's last closing before it; null: it shuts no more before"),
        }
    )
    return document(
        "What to buy for the kept plan",
        buying.SCHEMA,
        {
            "now": TIME,
            "until": said(TIME, "end of the kept plan"),
            "ingredients": {"type": "array", "items": ingredient},
            "loaves": list_({"loaves": COUNT, "by": TIME, "meals": _array(TEXT)}),
            "not_weighed": said(_array(ID), "breads whose ingredients nobody can weigh"),
            "there": said(
                _array(object_({"name": TEXT, "grams": AMOUNT, "since": said(or_null(TIME), "null: never counted")})),
                "as it was last counted, and what was bought and mixed since",
            ),
        },
    )


def eaten_schema() -> Json:
    """Return the schema of `rotation eaten --json`."""
    smooth = {
        "portions": said(AMOUNT, "a day, smoothed"),
        "low": said(AMOUNT, "in four cases of five it lies between low and high"),
        "high": AMOUNT,
        "days": said(COUNT, "usual days it was found from"),
    }
    weekday = object_(
        {
            "weekday": {"type": "integer", "minimum": 0, "maximum": 6, "description": "Monday is 0"},
            "own": said(AMOUNT, "what the household says"),
            **smooth,
            "breads": {"type": "object", "additionalProperties": object_(smooth), "description": "by bread"},
        }
    )
    return document(
        "What is eaten",
        eaten.SCHEMA,
        {
            "first": DATE,
            "last": DATE,
            "left_out": said(COUNT, "days with guests or somebody away"),
            "ran_out": said(COUNT, "days on which bread ran out: at least so much was wanted"),
            "weekdays": _array(weekday),
            "loaves_a_week": object_({"own": AMOUNT, "found": AMOUNT, "low": AMOUNT, "high": AMOUNT}),
            "by_weekday": {
                "type": "object",
                "additionalProperties": AMOUNT,
                "description": "how much more than on other days, by weekday; empty: no more than by chance",
            },
            "by_bread": {
                "type": "object",
                "additionalProperties": {"type": "object", "additionalProperties": {**AMOUNT, "maximum": 1}},
                "description": "surely that part of what is eaten beside lunch boxes, by bread and weekday; empty: what"
                " is found differs from what is written no more than by chance",
            },
            "reserve": object_(
                {
                    "own": COUNT,
                    "portions": COUNT,
                    "loaves": COUNT,
                    "error_a_day": said(AMOUNT, "standard deviation of a day's portions from what was expected"),
                    "gap_days": said(AMOUNT, "longest time between two possible bakes"),
                    "covered": said({**AMOUNT, "maximum": 1}, "share of such times in which it is enough"),
                }
            ),
        },
    )


def freezer_schema() -> Json:
    """Return the schema of `rotation freezer list --json`."""
    meal = object_({"summary": TEXT, "start": TIME})
    use = object_({"at": TIME, "pieces": COUNT, "meals": _array(meal)})
    dates = dict.fromkeys(("bagged", "through", "eat_first", "toast_after"), TIME)
    lot = {
        **_bag(COUNT),
        **dates,
        "strict": said(or_null(TIME), "may not be eaten after this"),
        "standing": {"enum": [str(one) for one in Standing]},
        "days_left": said(WHOLE, "until it is to be eaten first; below zero: since"),
        "planned": said(_array(use), "what the kept plan takes out of it, in time order"),
    }
    return document(
        "What is in the freezer, oldest first",
        stock.SCHEMA,
        {"zone": said(TEXT, "IANA name"), "now": TIME, "lots": _array(object_(lot))},
    )


def history_schema() -> Json:
    """Return the schema of `rotation freezer history --json`."""
    movement = {
        "kind": {"enum": [str(one) for one in Kind]},
        "at": said(SECOND, "when it happened"),
        "noted": said(SECOND, "when it was recorded"),
        "because": TEXT,
        "undoes": said(or_null(ID), "the movement it takes back"),
        "undone": said(FLAG, "whether it was taken back"),
        "bags": said(_array(object_(_bag(WHOLE))), "pieces below zero went out"),
    }
    return document("What went into the freezer and out of it", movements.SCHEMA, {"movements": list_(movement)})


def guidance_schema() -> Json:
    """Return the schema of `rotation freezer power-cut --json` and `open-lid --json`."""
    bag = {
        **_bag(COUNT),
        "found": {"enum": [None, *(one.value for one in Found)], "description": "null: nobody looked"},
        "verdict": {"enum": [one.value for one in Verdict]},
        "act": {"enum": ["discard", "toast", "eat", ""], "description": "what --record records"},
        "says": TEXT,
    }
    return document(
        "What the usual guidance says of each bag",
        outage.SCHEMA,
        {"says": TEXT, "bags": _array(object_(bag)), "caution": TEXT},
    )


def check_schema() -> Json:
    """Return the schema of `rotation check --json`."""
    problem = said({"type": "object"}, "all inputs as understood, as in `rotation plan --json --with-problem`")
    return document(
        "What is understood of a household",
        understood.SCHEMA,
        {
            "problem": problem,
            "notes": list_({"text": TEXT}),
            "oddities": {"type": "array", "items": ODDITY, "description": "what was odd in its calendars"},
        },
    )


def _bag(pieces: Json) -> Json:
    return {"id": ID, "letter": TEXT, "bread": ID, "form": ID, "pieces": said(pieces, "slices where it is sliced")}


def _array(items: Json) -> Json:
    return {"type": "array", "items": items}
