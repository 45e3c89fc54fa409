"""A household small enough to be planned in a second: one bread to bake for a brunch, one to thaw for a supper."""

from __future__ import annotations

from pathlib import Path

NOW = "2027-03-05T17:30"
"""A Friday evening. Guests come on Saturday evening and on Sunday morning."""

SETTINGS = """\
name = "Home"
zone = "Europe/Berlin"

[[people]]
id = "jo"
bakes = true
inside = ["06:00-23:00"]
awake = ["06:00-23:00"]
free = ["07:00-22:00"]
quick = []

[[calendars]]
name = "Family"
path = "calendars/family.ics"

[[ovens]]
id = "oven"
closed = []

[[meals]]
summary = "supper"
heads = 3
portions_per_head = 2
breads = ["country"]
strict = true

[[meals]]
summary = "brunch"
heads = 4
portions_per_head = 2
breads = ["milk"]
ways = ["fresh"]
fresh_within_hours = 24
strict = true

[habits]
loaves_a_week = 0

[plan]
days = 3
publish_days = 3
"""

COUNTRY = """\
name = "Country loaf"
portions = 14
piece_grams = 850
baked_grams = 780
[formula]
flours = { "wheat flour" = 100 }
water_percent = 70
others = { salt = 2 }
[oven]
degc = 230
uncovered_minutes = 40
[forms.part-baked]
[[processes]]
id = "day"
pieces = [1]
stages = [
  { name = "mix", hands_minutes = 15, then_minutes = [240, 300] },
  { name = "shape", hands_minutes = 10, then_minutes = [480, 600] },
  { name = "oven", hands_minutes = 3 },
  { name = "bag", hands_minutes = 2 },
]
[[routes]]
id = "worktop"
form = "part-baked"
gives = "finished"
place = "worktop"
thaw_hours = [5, 10]
oven = [{ degc = 220, minutes = 18 }]
"""

MILK = """\
name = "Milk loaf"
portions = 12
piece_grams = 800
baked_grams = 720
[formula]
flours = { "wheat flour" = 100 }
water_percent = 60
others = { salt = 2, yeast = 1 }
[oven]
degc = 190
uncovered_minutes = 35
[table]
rest_minutes = 60
[[processes]]
id = "day"
pieces = [1]
stages = [
  { name = "mix", hands_minutes = 15, then_minutes = [60, 90] },
  { name = "shape", hands_minutes = 10, then_minutes = [45, 60] },
  { name = "oven", hands_minutes = 3 },
]
"""

STOCK = """\
[[lots]]
bread = "country"
form = "part-baked"
units = 2
bagged = 2027-02-20
letter = "A"
"""

FAMILY = """\
BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//test//family//EN
BEGIN:VEVENT
UID:supper-1
DTSTAMP:20270301T000000Z
DTSTART:20270306T173000Z
DTEND:20270306T190000Z
SUMMARY:Supper with friends
TRANSP:TRANSPARENT
END:VEVENT
BEGIN:VEVENT
UID:brunch-1
DTSTAMP:20270301T000000Z
DTSTART:20270307T090000Z
DTEND:20270307T110000Z
SUMMARY:Brunch
TRANSP:TRANSPARENT
END:VEVENT
END:VCALENDAR
"""


def lay_out(folder: Path, entries: str) -> Path:
    """Write the household, with its `[entries]` as given, and return its folder."""
    files = {
        "household.toml": f"{SETTINGS}\n{entries}\n",
        "breads/country.toml": COUNTRY,
        "breads/milk.toml": MILK,
        "stock.toml": STOCK,
        "calendars/family.ics": FAMILY.replace("\n", "\r\n"),
    }
    for name, text in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8", newline="")
    return folder
