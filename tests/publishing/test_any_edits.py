"""Whatever the family does to the entries, in any order: plan and publish go on, converge, and touch nothing else."""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.commands.conftest import Run
from tests.publishing.clients import Family, FolderClient
from tests.publishing.homes import lay_out
from tests.publishing.test_story import THEIRS

BEGIN = datetime(2027, 3, 5, 16, 30, tzinfo=UTC)


def stamp(at: datetime) -> str:
    return f"{at:%Y%m%dT%H%M%SZ}"


def edit(family: Family, uid: str, chance: random.Random) -> str:
    """Do something to one entry; return what."""
    start = datetime.strptime(family.value(uid, "DTSTART"), "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC)
    by = timedelta(minutes=chance.choice((-400, -90, -35, -7, 5, 25, 60, 180, 700, 1440)))
    what = chance.choice(("move", "move", "resize", "delete", "tick", "colour", "day"))
    if what == "move":
        family.move(uid, stamp(start + by), stamp(start + by + timedelta(minutes=20)))
    elif what == "resize":
        family.move(uid, stamp(start), stamp(start + abs(by)))
    elif what == "delete":
        family.delete(uid)
    elif what == "tick":
        family.tick(uid)
    elif what == "colour":
        family.colour(uid, "teal")
    else:
        family.all_day(uid, f"{start + by:%Y%m%d}", f"{start + by + timedelta(days=1):%Y%m%d}")
    return f"{what} {family.titles().get(uid, uid)}"


@pytest.mark.long
@pytest.mark.parametrize("seed", range(12))
def test_any_edits(rotation: Run, tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)
    folder = tmp_path / "bread"
    folder.mkdir()
    family = Family(FolderClient(folder))
    family.add("swimming.ics", THEIRS)
    each = chance.choice(("bake", "part", "step"))
    home = lay_out(tmp_path / "home", f'{family.client.entries}\neach = "{each}"')
    now, story = BEGIN, [each]
    for _ in range(4):
        at = now.isoformat(timespec="minutes")
        ran = rotation("plan", "--household", home, "--from", at)
        assert ran.code == 0, (story, ran.err)
        ran = rotation("publish", "--household", home, "--now", at, "--yes")
        assert ran.code in (0, 2), (story, ran.err)
        if ran.code == 2:  # only a person can answer
            assert "Say so at a terminal" in ran.err, (story, ran.err)
            return
        assert rotation("publish", "--household", home, "--now", at).out == "Bread: nothing to write.\n", story
        uids = [uid for uid in family.uids() if uid != "swimming"]
        assert len(set(uids)) == len(uids), story
        assert family.client.all()["swimming.ics"] == THEIRS
        for uid in chance.sample(uids, min(len(uids), 2)):
            if len(family.value(uid, "DTSTART")) > 8:
                story.append(edit(family, uid, chance))
        now += timedelta(minutes=chance.choice((5, 40, 300)))
