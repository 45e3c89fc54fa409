"""After a power cut or an open lid, on the page: each bag judged, what was done recorded once, and taken back."""

from __future__ import annotations

import re

from tests.page.kitchen import SAID, SATURDAY, Clock, Person, at, clock, person, planned, words
from tests.page.test_flows import ONE, left

__all__ = ["clock", "person", "planned"]


def test_after_a_power_cut_each_bag_is_judged_and_what_was_done_is_recorded_and_taken_back(
    person: Person, clock: Clock
) -> None:
    asked = person.client.get("/freezer/outage")
    assert (asked.status_code, "A 2 Country loaves part-baked, bagged Sat 20 Feb" in words(asked.text)) == (200, True)
    where = "/freezer/outage/advice?what=cut&hours=60&full=80&bag+A="
    seen = person.see(where)
    assert "60 h without power, door shut; 80 % full: it keeps cold for about 24 h" in seen
    assert "This is the usual guidance, no promise of safety: follow your local food-safety rules." in seen
    assert re.search(r"Frozen again, for toast Refreeze it, for toast; .* A 2 Country loaves bagged Sat 20 Feb", seen)
    assert "It was done so" in seen
    assert left(person) == {}, "not even what stock.toml says is in the ledger yet"
    assert "Hard: leave it in." in person.see("/freezer/outage/advice?what=cut&hours=60&bag+A=hard")
    assert "It was done so" not in person.see("/freezer/outage/advice?what=cut&hours=2&full=80")
    fields = {"what": "cut", "hours": "60", "full": "80", "warm": "", "at": at(f"{SATURDAY}06:00").isoformat()}
    told = person.send("/freezer/outage", ONE, **fields)
    assert "2 of bag A (country): frozen again, for toast" in told.text
    assert "for toast" in person.see("/freezer/bag/A")
    person.send("/freezer/outage", ONE, **fields)
    Person(person.folder, clock).send("/freezer/outage", ONE, **fields)
    assert person.see("/freezer").count("power cut, 60 h") == 1
    (movement,) = re.findall(r'name="movement" value="([^"]+)"', re.findall(SAID, told.text, re.DOTALL)[0])
    person.tap("/take-back", movement=movement)
    assert "for toast" not in person.see("/freezer/bag/A").partition("Dates")[0]


def test_under_an_open_lid_what_nobody_felt_is_named_and_nonsense_refused(person: Person) -> None:
    seen = person.see("/freezer/outage/advice?what=lid")
    assert "A lid that stood open: hours say nothing, each bag has to be felt." in seen
    assert "Not felt: A." in seen
    assert "Icy: refreeze it." in person.see("/freezer/outage/advice?what=lid&bag+A=icy")
    for wrong, why in (
        ("what=cut", "it is not said how long"), ("what=cut&hours=long", "cannot be"), ("what=cut&hours=-1", "cannot"),
        ("what=cut&hours=nan", "cannot be"), ("what=lid&bag+A=odd", "does not say how"),
        ("what=lid&bag+Q=icy", "no bag"),
    ):  # fmt: skip
        answer = person.client.get(f"/freezer/outage/advice?{wrong}")
        assert (answer.status_code, why in words(answer.text).lower()) == (409, True), wrong
    assert "is still to come" in person.refused("/freezer/outage", what="lid", at="2027-03-09T12:00:00+01:00")
    assert "not said when" in person.refused("/freezer/outage", what="lid", at="soon")
    assert left(person) == {}
