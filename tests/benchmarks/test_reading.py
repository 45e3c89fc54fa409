"""How long reading a window of a very large calendar takes: printed, never asserted.

Run `pytest -n 0 -m benchmark -s tests/benchmarks/test_reading.py`. Every figure is processor time of one fresh process
that measures both sides, so only the ratios mean something. The file: 100,000 events of thirty years, 12 MB. Compared
with:

- *parse*: `icalendar.Calendar.from_ical` of the whole file, which is what reading without a screen would have to do;
- *bytes*: reading the file and scanning its bytes once in Python, `for byte in data` with one comparison;
- *lines*: reading the file line by line with one `startswith` for each, the least that a scan by lines can do.

What was aimed at: a twentieth of *parse*, and twice *bytes*.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.benchmarks.measure import fresh

pytestmark = pytest.mark.benchmark

EVENTS = 100_000
PREPARE = """
import time
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo
from calendars.store import open_store
path = Path({path!r})
window = (datetime(2027, 3, 1, tzinfo=UTC), datetime(2027, 3, 24, tzinfo=UTC))
def least(work, times):
    took = []
    for _ in range(times):
        begin = time.process_time()
        work()
        took.append(time.process_time() - begin)
    return min(took)
def ours():
    return open_store("file", str(path), "family").read(window, ZoneInfo("Europe/Berlin"))
def lines():
    with path.open("rb") as file:
        return sum(line.startswith(b"DTSTART") for line in file)
def scan():
    count = 0
    for byte in path.read_bytes():
        if byte == 10:
            count += 1
    return count
def parse():
    from icalendar import Calendar
    return Calendar.from_ical(path.read_bytes())
ours()
"""


def calendar(path: Path, of: str) -> Path:
    """Write a calendar of events three hours apart, some of them with zones or as a weekly series."""
    from datetime import datetime, timedelta

    at, blocks = datetime.fromisoformat("1995-01-01T08:00"), []
    for number in range(EVENTS):
        start, end = (f"{moment:%Y%m%dT%H%M%S}" for moment in (at, at + timedelta(hours=1)))
        if of == "mixed" and number % 2:
            times = f"DTSTART;TZID=Europe/Berlin:{start}\r\nDTEND;TZID=Europe/Berlin:{end}"
        else:
            times = f"DTSTART:{start}Z\r\nDTEND:{end}Z"
        times += "\r\nRRULE:FREQ=WEEKLY;COUNT=9" if of == "mixed" and number % 100 == 0 else ""
        blocks.append(f"BEGIN:VEVENT\r\nUID:{number}@x\r\n{times}\r\nSUMMARY:Event {number}\r\nEND:VEVENT\r\n")
        at += timedelta(hours=3)
    text = f"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//x//EN\r\n{''.join(blocks)}END:VCALENDAR\r\n"
    path.write_text(text, newline="")
    return path


@pytest.mark.parametrize("of", ["plain", "mixed"])
def test_window_of_a_large_calendar(tmp_path: Path, of: str) -> None:
    path = calendar(tmp_path / "large.ics", of)
    code = PREPARE.format(path=str(path)) + "print(len(ours().events))\n"
    code += "for work, times in ((ours, 5), (lines, 5), (scan, 3), (parse, 1)): print(least(work, times))\n"
    found, *seconds = fresh(code).said
    mine, lines, scan, parse = map(float, seconds)
    print(f"\n{of}, {path.stat().st_size / 1e6:.0f} MB, {EVENTS:,} events, {found} of them in 23 days")
    print(f"  window read: 1/{parse / mine:.0f} of parsing, {mine / scan:.2f} x bytes, {mine / lines:.1f} x lines")
