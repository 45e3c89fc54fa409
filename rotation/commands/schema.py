"""`rotation schema`: JSON Schema of what a household writes, for editors, and of what commands print with --json."""

from __future__ import annotations

import json
from typing import Annotated, Any

import typer

from rotation.errors import BadInput, Mistake

ANSWERS = {
    "now": "now_schema",
    "buy": "buy_schema",
    "eaten": "eaten_schema",
    "freezer": "freezer_schema",
    "freezer-history": "history_schema",
    "freezer-guidance": "guidance_schema",
    "check": "check_schema",
}
"""Functions of `show.answers_schema`, by kind."""

KINDS = ("household", "bread", "stock", "plan", "calendar", "bench", "why", "try", "rehearsal", *ANSWERS)
_DIALECT = "https://json-schema.org/draft/2020-12/schema"


def schema(
    kind: Annotated[str, typer.Argument(metavar="WHAT", help=f"One of: {', '.join(KINDS)}.")] = "household",
    plan: Annotated[bool, typer.Option("--plan", help="The schema of `rotation plan --json`.")] = False,
) -> None:
    """Print JSON Schema: of household.toml, a bread's file, stock.toml; of what commands print with --json."""
    typer.echo(json.dumps(schema_of("plan" if plan else kind), indent=2, ensure_ascii=False))


def schema_of(kind: str) -> dict[str, Any]:
    """Return the JSON Schema of one kind of file. Raises BadInput for a kind there is not."""
    if kind == "calendar":
        from rotation.show.calendar import calendar_schema

        return calendar_schema()
    if kind == "plan":
        from rotation.show.schema import plan_schema

        return dict(plan_schema())
    if kind == "bench":
        from rotation.show.bench_notes import bench_schema

        return {"$schema": _DIALECT} | bench_schema()
    if kind == "why":
        from rotation.show.why_json import why_schema

        return why_schema()
    if kind == "try":
        from rotation.show.tried import try_schema

        return try_schema()
    if kind == "rehearsal":
        from rotation.show.rehearsal_json import rehearsal_schema

        return rehearsal_schema()
    if kind in ANSWERS:
        from rotation.show import answers_schema

        return dict(getattr(answers_schema, ANSWERS[kind])())
    from pydantic import BaseModel

    from rotation.household import Bread, Household, Stock

    models: dict[str, type[BaseModel]] = {"household": Household, "bread": Bread, "stock": Stock}
    if kind not in models:
        wrong = f'there is no schema of "{kind[:40]}".'
        raise BadInput(Mistake("schema", None, "", wrong, f"Write one of: {', '.join(KINDS)}."))
    return {"$schema": _DIALECT} | models[kind].model_json_schema(by_alias=True)
