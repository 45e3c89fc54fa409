"""Movements as CSV, for a person's own table or another machine: a row for each bag that a movement touches.

Columns: movement, kind, at, noted, reason, undoes, lot, letter, bread, form, units, bagged, through, eat_first,
toast_after, strict_until. Times are ISO 8601 with their offset; `units` below zero went out; a count that found what
was expected has one row without a lot. The rows of a movement stand together.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

from rotation.errors import BadInput, Mistake
from rotation.ledger import checks
from rotation.ledger.records import Kind, Lot, Movement, Share

COLUMNS = (
    "movement", "kind", "at", "noted", "reason", "undoes", "lot", "letter", "bread", "form", "units",
    "bagged", "through", "eat_first", "toast_after", "strict_until",
)  # fmt: skip
MOST_MISTAKES = 50
"""So many are named at most; a file of another kind has one in every line."""

Row = dict[str, str]


@dataclass(frozen=True)
class Written:
    """A movement as a file has it, and the line it begins in. `undone` is not in the file, and False."""

    line: int
    movement: Movement


def to_csv(movements: Iterable[Movement]) -> str:
    """Return movements as CSV, in their order."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for one in movements:
        about = (one.id, str(one.kind), _iso(one.at), _iso(one.noted), one.reason, one.undoes)
        for share in one.shares:
            lot = share.lot
            dates = (lot.bagged, lot.through, lot.eat_first, lot.toast_after, lot.strict_until)
            writer.writerow((*about, lot.id, lot.letter, lot.bread, lot.form, share.units, *map(_iso, dates)))
        if not one.shares:
            writer.writerow((*about, *[""] * (len(COLUMNS) - len(about))))
    return out.getvalue()


def from_csv(text: str, file: str) -> tuple[Written, ...]:
    """Return the movements of a text, in its order. Raises BadInput that names every line that is wrong.

    file: its name, for messages.
    """
    reader = csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""), strict=True)
    mistakes: list[Mistake] = []
    found: dict[str, Written] = {}
    try:
        header = next(reader, [])
        _right_columns(header, file)
        last = ""
        for line, cells in _numbered(reader):
            try:
                row = _row(cells)
                here = _movement(row)
                if here.id in found and here.id != last:
                    raise checks.refused("movement", f"{here.id!r} stands above already.", "Keep its rows together.")
                found[here.id] = _joined(found.get(here.id), here, line)
                last = here.id
            except BadInput as bad:
                mistakes += [Mistake(file, line, one.setting, one.wrong, one.instead) for one in bad.mistakes]
    except csv.Error as error:
        wrong = f"is no CSV from here on: {error}."
        mistakes.append(Mistake(file, reader.line_num, "", wrong, "Separate by commas; quote with double quotes."))
    if mistakes:
        raise BadInput(*mistakes[:MOST_MISTAKES])
    return tuple(found.values())


def _numbered(reader: Iterator[list[str]]) -> Iterator[tuple[int, list[str]]]:
    """Yield the rows that hold anything, each with the line it ends in."""
    for cells in reader:
        if any(cells):
            yield reader.line_num, cells  # type: ignore[attr-defined]  # csv gives its readers no public type


def _right_columns(header: list[str], file: str) -> None:
    said = [name.strip() for name in header]
    if said != list(COLUMNS):
        missing = [name for name in COLUMNS if name not in said]
        unknown = [name[:40] for name in said if name not in COLUMNS]
        parts = [f"there is no {', '.join(missing)}" if missing else "", f"{unknown!r} are unknown" if unknown else ""]
        wrong = "; ".join(part for part in parts if part) or "they stand in another order"
        raise BadInput(Mistake(file, 1, "columns", f"{wrong}.", f"Write: {','.join(COLUMNS)}"))


def _row(cells: list[str]) -> Row:
    if len(cells) != len(COLUMNS):
        raise checks.refused(
            "columns", f"{len(cells)} of {len(COLUMNS)} are there.", "Give every column, empty or not."
        )
    return dict(zip(COLUMNS, (cell.strip() for cell in cells), strict=True))


def _movement(row: Row) -> Movement:
    kinds = [str(kind) for kind in Kind]
    if row["kind"] not in kinds:
        raise checks.refused("kind", f"{row['kind'][:40]!r} is no kind.", f"Write one of: {', '.join(kinds)}.")
    kind = Kind(row["kind"])
    if (kind is Kind.UNDONE) != bool(row["undoes"]):
        raise checks.refused("undoes", "goes with the kind undone, and only with it.", "Name the movement taken back.")
    return Movement(
        id=checks.name("movement", row["movement"]),
        kind=kind,
        at=_time(row, "at"),
        noted=_time(row, "noted"),
        reason=checks.remark(row["reason"]),
        undoes=checks.name("undoes", row["undoes"]) if row["undoes"] else "",
        undone=False,
        shares=(_share(row),) if row["lot"] else (),
    )


def _share(row: Row) -> Share:
    lot = Lot(
        id=checks.lot_id(row["lot"]),
        letter=checks.bag_letter(row["letter"]),
        bread=checks.name("bread", row["bread"]),
        form=checks.name("form", row["form"]),
        bagged=_time(row, "bagged"),
        through=_time(row, "through"),
        eat_first=_time(row, "eat_first"),
        toast_after=_time(row, "toast_after"),
        strict_until=_time(row, "strict_until") if row["strict_until"] else None,
    )
    digits = row["units"].removeprefix("-")
    whole = int(row["units"]) if digits.isascii() and digits.isdigit() and len(digits) < 6 else 0
    if not 1 <= abs(whole) <= checks.MOST_UNITS:
        wrong = f"{row['units'][:20]!r} is not a count."
        raise checks.refused(
            "units", wrong, f"Write a whole number up to {checks.MOST_UNITS}, below zero if it went out."
        )
    return Share(lot, whole)


def _joined(above: Written | None, here: Movement, line: int) -> Written:
    """Return a movement with the share of its next row."""
    if above is None:
        return Written(line, here)
    first, lots = above.movement, {share.lot.id for share in above.movement.shares}
    same = (first.kind, first.at, first.noted, first.reason, first.undoes)
    if (here.kind, here.at, here.noted, here.reason, here.undoes) != same:
        raise checks.refused("movement", f"{here.id!r} is told in two ways.", "Let its rows agree.")
    if not here.shares or not first.shares or here.shares[0].lot.id in lots:
        raise checks.refused("lot", "it is there twice in one movement.", "Give each bag one row.")
    return Written(above.line, Movement(here.id, *same[:3], *same[3:], False, (*first.shares, *here.shares)))


def _time(row: Row, field: str) -> datetime:
    try:
        said = datetime.fromisoformat(row[field])
    except ValueError:
        raise checks.refused(
            field, f"{row[field][:40]!r} is not a time.", "Write it like 2027-03-01T17:30:00+01:00."
        ) from None
    return checks.instant(field, said)


def _iso(at: datetime | None) -> str:
    return "" if at is None else at.isoformat()
