"""`python -m calendars SOURCE`: list what is understood of a calendar, without any household."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from calendars.listing import as_json, lines
from calendars.schema import READING
from calendars.secrets import secret
from calendars.store import KINDS, Access, CalendarError, open_store
from calendars.text import clean_lines
from calendars.zones import here, instant, lookup

BAD_INPUT = 2


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the listing and return the exit code: 0, or 2 where something cannot be read."""
    asked = _parser().parse_args(arguments)
    if asked.schema:
        print(json.dumps(READING, indent=2))
        return 0
    if not asked.source:
        return _failed("say which calendar: python -m calendars family.ics --from 2027-03-01")
    choice = lookup(asked.zone or here(), ZoneInfo("UTC"))
    if choice.kind == "assumed" or not isinstance(choice.zone, ZoneInfo):
        return _failed(f'there is no time zone "{asked.zone}"; write --zone Europe/Berlin')
    zone, first = choice.zone, asked.start or datetime.now(choice.zone).date()
    days = (datetime.combine(first + timedelta(days=more), time()) for more in (0, asked.days))
    start, end = (instant(day, zone) for day in days)
    name = asked.name or name_of(asked.source)
    try:
        password = (
            (lambda: secret(asked.password_from, calendar=name, user=asked.user)) if asked.password_from else None
        )
        access = Access(user=asked.user, password=password, plain_http=asked.plain_http)
        reading = open_store(asked.kind or kind_of(asked.source), asked.source, name, access).read((start, end), zone)
    except CalendarError as error:
        return _failed(str(error))
    if asked.json:
        print(json.dumps(as_json(reading, name, (start, end), zone), indent=2, ensure_ascii=False))
    else:
        for line in lines(reading, name, (start, end), zone):
            print(line)
    return 0


def kind_of(source: str) -> str:
    """Return the kind of store a source is, as far as it shows."""
    if "://" in source:
        return "subscription"
    return "folder" if Path(source).is_dir() else "file"


def name_of(source: str) -> str:
    """Return what to call a source: the last part of its path; of an address, which may be a secret, nothing."""
    return "calendar" if "://" in source else Path(source).name or "calendar"


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m calendars", description="List what is understood of a calendar.")
    parser.add_argument("source", nargs="?", help="an .ics file, a folder of them, or a web address")
    parser.add_argument("--from", dest="start", type=date.fromisoformat, metavar="DATE", help="first day; else today")
    parser.add_argument("--days", type=_days, default=14, metavar="N", help="how many days; else 14")
    parser.add_argument("--zone", metavar="NAME", help="for dates and times without a zone; else this machine's")
    parser.add_argument("--kind", choices=sorted(KINDS), help="what the source is, where it does not show")
    parser.add_argument("--name", help="what to call it")
    parser.add_argument("--user", default="", help="for a server that asks")
    parser.add_argument("--password-from", help='"keyring", "command: ..." or "env: NAME"; never the password')
    parser.add_argument("--plain-http", action="store_true", help="allow http without encryption to another machine")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.add_argument("--schema", action="store_true", help="print JSON Schema of that")
    return parser


def _days(text: str) -> int:
    if text.isascii() and text.isdigit() and 1 <= len(text) <= 4 and 1 <= int(text) <= 3660:
        return int(text)
    raise argparse.ArgumentTypeError("write a number of days from 1 to 3660")


def _failed(message: str) -> int:
    print(clean_lines(message), file=sys.stderr)
    return BAD_INPUT


if __name__ == "__main__":
    sys.exit(main())
