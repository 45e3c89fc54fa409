"""Daily life on the page, as a browser without script sees it: every tap, its way back, and what is recorded."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from rotation.happened import What
from rotation.ledger import Happenings, Ledger
from rotation.page.plain import plain
from rotation.replanning import UNDER_WAY
from tests.page.kitchen import SAID, SATURDAY, Clock, Person, at, clock, person, planned

__all__ = ["clock", "person", "planned"]

ONE = "11111111-2222-4333-8444-555555555555"


def left(person: Person) -> dict[str, int]:
    """Return what is left in each bag, as the ledger says."""
    return left_in(person.folder, person.clock)


def left_in(folder: Path, clock: Clock) -> dict[str, int]:
    with Ledger.open(folder / ".rotation", readonly=True) as ledger:
        return {state.lot.letter: state.left for state in ledger.lots(clock.now)}


def said(person: Person) -> list[tuple[str, str, bool]]:
    with Ledger.open(person.folder / ".rotation", readonly=True) as ledger:
        return [(row.name, str(row.what), row.sure) for row in Happenings(ledger).standing() if row.what != What.EATEN]


def test_now_next_and_then(person: Person, clock: Clock) -> None:
    clock.now = at(f"{SATURDAY}07:45")
    seen = person.see("/")
    assert "Saturday 6 Mar 7:45 Bread today: enough Now 7:45 now Jo BREAD OUT 1 Country loaf" in seen
    assert "Next 15:20 Jo MIX 1 Milk loaf" in seen
    assert "Done Not there More" in seen
    assert "Freezer tonight: 1 Country loaf" in seen


def test_each_meal_of_guests_stands_on_its_day_with_what_it_gets_and_holds(person: Person, clock: Clock) -> None:
    clock.now = at("2027-03-07T08:00")
    seen = person.see("/")
    assert "10:00 Brunch (4) 8 slices of Milk loaf. Contains gluten and wheat." in seen
    assert "Nothing to do today" not in seen
    clock.now = at(f"{SATURDAY}07:45")
    assert "18:30 Supper with friends (3) 6 slices of Country loaf. Contains gluten and wheat." in person.see("/")


def test_a_step_is_done_once_however_often_it_is_sent_and_taken_back(person: Person, clock: Clock) -> None:
    clock.now = at(f"{SATURDAY}07:46")
    for _ in range(3):
        assert "Done: bread out, 1 Country loaf, 7:46. Freezer: 1 out: 1 of bag A" in person.tap(
            "/step/sat-thaw/done", ONE
        )
    assert left(person)["A"] == 1
    assert said(person) == [("sat-thaw", "done", True)]
    assert "✓ done" in person.see("/step/sat-thaw")
    assert "Known already" in person.tap("/step/sat-thaw/done")
    assert "Taken back: bread out, 1 Country loaf." in person.tap("/take-back", step="sat-thaw")
    assert (left(person)["A"], said(person)) == (2, [])


def test_a_tap_that_was_sent_again_after_the_kitchen_was_started_anew_counts_once(person: Person, clock: Clock) -> None:
    clock.now = at(f"{SATURDAY}07:46")
    person.tap("/step/sat-thaw/done", ONE)
    person.tap("/freezer/take", "11111111-2222-4333-8444-666666666666", kind="country|part-baked")
    other = Person(person.folder, clock)
    assert "Known already" in other.tap("/step/sat-thaw/done", ONE)
    other.tap("/freezer/take", "11111111-2222-4333-8444-666666666666", kind="country|part-baked")
    assert left(person) == {}, "one thawed, one taken"


def test_how_many_and_when(person: Person, clock: Clock) -> None:
    clock.now = at(f"{SATURDAY}18:55")
    assert "Done: mix, 1 Milk loaf, 15:05." in person.tap("/step/sat-mix/done", at="15:05")
    assert "Done: out of the oven, 1 Milk loaf, 18:55, 1 of it." in person.tap("/step/sat-out/done", count="1")
    assert "15:05" in person.see("/step/sat-mix")
    assert "is no time" in person.refused("/step/sat-shape/done", at="soon")
    assert "is no number" in person.refused("/step/sat-shape/done", count="two")


def test_not_there_empties_the_bag_and_an_undo_brings_it_back(person: Person, clock: Clock) -> None:
    clock.now = at(f"{SATURDAY}07:46")
    told = person.tap("/step/sat-thaw/not-there")
    assert "Not there: bread out, 1 Country loaf. Freezer: 2 out: 2 of bag A" in told
    assert "Plan again" in told
    assert left(person) == {}
    assert "– left out" in person.see("/step/sat-thaw")
    person.tap("/take-back", step="sat-thaw")
    assert (left(person), said(person)) == ({"A": 2}, [])


def test_all_as_planned_in_one_tap_and_all_of_it_back(person: Person, clock: Clock) -> None:
    clock.now = at(f"{SATURDAY}17:10")
    assert "Not said yet: 15:20 Jo MIX 1 Milk loaf" in person.see("/")
    told = person.tap("/all-as-planned", ONE)
    assert "Done: mix, 1 Milk loaf, 15:20." in told
    assert person.tap("/all-as-planned", ONE) == told
    sure = [name for name, what, sure in said(person) if what == "done" and sure]
    assert sure == ["sat-mix", "sat-shape"]
    names = re.findall(r'name="step" value="([^"]+)"', person.send("/all-as-planned", ONE).text)
    assert names == ["sat-shape", "sat-mix"], "the last first"
    person.tap("/take-back", step=names)
    assert [name for name, what, sure in said(person) if what == "done" and sure] == []


def test_a_bake_nobody_spoke_of_is_asked_about(person: Person, clock: Clock) -> None:
    clock.now = at(f"{SATURDAY}22:00")
    assert "Did the bake of 1 Milk loaf begin, 15:20?" in person.see("/")
    assert "Done: mix, 1 Milk loaf, 15:20." in person.tap("/step/sat-mix/as-planned")
    assert "Did the bake" not in person.see("/")


def test_a_bake_is_off(person: Person, clock: Clock) -> None:
    clock.now = at(f"{SATURDAY}15:20")
    told = person.tap("/step/sat-mix/skip")
    assert "Left out: mix, 1 Milk loaf; the whole bake is off." in told
    assert "MIX 1 Milk loaf – left out" in person.see("/")
    person.tap("/take-back", step="sat-mix")
    assert "left out" not in person.see("/")


def test_not_yet_offers_what_can_be_done_and_goes_on_as_chosen(person: Person, clock: Clock) -> None:
    clock.now = at(f"{SATURDAY}16:50")
    person.tap("/step/sat-mix/done", at="15:20")
    clock.now = at(f"{SATURDAY}17:05")
    assert "Done Not yet More" in person.see("/")
    seen, _ = person.work("/step/sat-shape/later")
    assert "Give it the time it wants, in the room shape it" in seen
    assert "Give it up no loaf of it; costs" in seen
    assert "changed" not in [what for _, what, _ in said(person)], "nothing is written until one is chosen"
    seen, _ = person.work("/step/sat-shape/take", rescue="wait")
    assert "The new plan" in seen
    assert "Every rule holds." in seen
    assert ("sat-shape", "changed", True) in said(person)
    assert "was not offered" in person.refused("/step/sat-shape/take", rescue="magic")


def test_the_freezer_oldest_first(person: Person) -> None:
    seen = person.see("/freezer")
    assert "2 Country loaves part-baked, the oldest first A 2 eat within" in seen
    assert "1 for Supper with friends (Sat 18:30); 1 free" in seen
    assert "1 out: 1 of bag A" in person.tap("/freezer/take", kind="country|part-baked", units="1")
    assert left(person) == {"A": 1}
    assert "2 asked for, and 1 there" in person.refused("/freezer/take", kind="country|part-baked", units="2")
    assert "cannot be" in person.refused("/freezer/take", kind="country|part-baked", units="-1")


def test_a_bag_goes_in_and_has_a_page_of_its_own(person: Person) -> None:
    told = person.tap("/freezer/add", ONE, kind="country|part-baked", units="3", bagged="2027-03-04")
    assert "Write on the bag: B" in told
    assert person.tap("/freezer/add", ONE, kind="country|part-baked", units="3", bagged="2027-03-04") == told
    seen = person.see("/freezer/bag/b")
    assert "3 Country loaves part-baked Now eat within" in seen
    assert "Contains gluten and wheat" in seen
    assert "To the table Worktop" in seen
    assert "bag A of country, bagged" in person.refused("/freezer/bag/B/take", units="1").replace("Bag A", "bag A")
    assert "1 out: 1 of bag B" in person.tap("/freezer/bag/B/take", units="1", because="for a neighbour")
    assert "2 out: 2 of bag B" in person.tap("/freezer/bag/B/discard", because="freezer burn")
    gone = person.client.get("/freezer/bag/B")
    assert gone.status_code == 404
    assert "There is no bag" in gone.text
    assert left(person) == {"A": 2}


def test_the_count_of_twenty_seconds(person: Person) -> None:
    page = person.client.get("/freezer/count").text
    assert "We think: <bdi>2 Country loaves</bdi>" in page
    (field,) = re.findall(r'name="(bag [^"]+)"', page)
    assert "All 1 bag as we thought." in person.tap("/freezer/count", **{field: "2"})
    told = person.send("/freezer/count", ONE, **{field: "1"})
    assert "1 out: 1 of bag A" in told.text
    assert left(person) == {"A": 1}
    (movement,) = re.findall(r'name="movement" value="([^"]+)"', re.findall(SAID, told.text, re.DOTALL)[0])
    person.tap("/take-back", movement=movement)
    assert left(person) == {"A": 2}
    assert "cannot be" in person.refused("/freezer/count", **{field: "many"})


def test_the_week_and_the_timers(person: Person, clock: Clock) -> None:
    week = person.see("/week")
    assert "Saturday 6 Mar today Bread: enough" in week
    assert "491 g wheat flour + 294 water" in week
    assert "Days that are over Friday 5 Mar" in week
    clock.now = at(f"{SATURDAY}17:00")
    timers = person.client.get("/timers")
    assert timers.headers["refresh"] == "30"
    assert "in 5 min 17:05 Jo SHAPE 1 Milk loaf" in person.see("/timers?still=1")
    assert "refresh" not in person.client.get("/timers?still=1").headers
    assert "17:30 Jo OVEN ON 220 in 30 min" in person.see("/timers")


def test_guests_are_asked_about_before_they_are_invited(person: Person) -> None:
    before = (person.folder / "household.toml").read_text(encoding="utf-8")
    assert "is no day" in person.refused("/guests", day="soon", at="18:30", heads="4")
    assert "cannot be" in person.refused("/guests", day="2027-03-07", at="18:30", heads="0")
    fields = {"day": "2027-03-07", "at": "18:30", "heads": "4", "slices": "2", "without": ["sesame"]}
    seen, html = person.work("/guests", **fields)
    assert "4 at the table, Sunday 7 Mar 18:30, 2 slices each, without sesame" in seen
    assert "Yes, it will do" in seen
    assert (person.folder / "household.toml").read_text(encoding="utf-8") == before
    agreed = dict(re.findall(r'name="(day|at|heads|slices|without)" value="([^"]+)"', html))
    assert agreed == {**fields, "without": "sesame"}
    assert "Counted on: 4 at the table" in person.tap("/guests/agree", ONE, **agreed)
    person.tap("/guests/agree", ONE, **agreed)
    after = (person.folder / "household.toml").read_text(encoding="utf-8")
    assert after.count("4 at the table") == 1


def test_planning_is_watched_and_the_plan_is_written_where_it_was_shown(person: Person, clock: Clock) -> None:
    clock.now = at(f"{SATURDAY}07:00")
    settings = person.folder / "household.toml"
    settings.write_text(settings.read_text(encoding="utf-8") + '\n[entries]\npath = "calendars/bread"\n', "utf-8")
    seen, _ = person.work("/plan", work="quick")
    assert "Every rule holds." in seen
    assert "Planned Saturday 6 Mar 7:00." in person.see("/plan")
    seen, html = person.work("/plan/look")
    assert "to add. add Sat 6 Mar" in seen
    assert not (person.folder / "calendars/bread").exists()
    found = re.search(r'name="seen" value="([^"]+)"', html)
    assert found is not None
    again, _ = person.work("/plan/publish", seen="of another plan")
    assert "Something changed since you looked." in again
    assert "Bread the folder calendars/bread Last written never yet" in person.see("/plan")
    done, _ = person.work("/plan/publish", seen=found[1])
    seen = person.see("/plan")
    assert "Last written Saturday 6 Mar 7:00" in seen
    assert "One entry for each bake, thaw and finish; at most 10 a week where the plan allows." in seen
    clock.now = at(f"{SATURDAY}07:05")
    person.work("/plan", work="quick")
    assert "Saturday 6 Mar 7:00; planned again since" in person.see("/plan")
    clock.now = at(f"{SATURDAY}07:00")
    assert re.search(r"Bread: \d+ added\.", done)
    assert list((person.folder / "calendars/bread").glob("*.ics"))
    assert "The calendars are as the plan says." in person.work("/plan/look")[0]


def test_work_is_one_thing_at_a_time_may_be_stopped_and_is_not_lost_by_loading_again(
    person: Person, clock: Clock
) -> None:
    person = Person(person.folder, clock, apart=True)
    begun = person.send("/plan", ONE, work="thorough")
    assert begun.url.path == f"/working/{ONE}"
    assert "Working it out." in begun.text
    assert "One thing at a time" in person.send("/calendars/look").text
    assert person.send("/plan", ONE, work="thorough").url.path == begun.url.path
    assert "It was stopped." in person.send(f"/working/{ONE}/stop").text
    assert "It was stopped." in person.see(f"/working/{ONE}")
    assert person.client.get("/working/11111111-2222-4333-8444-000000000000").status_code == 404


def test_what_is_odd_in_the_calendars_is_said_in_plain_words(person: Person) -> None:
    assert "Kitchen, 1 Guests' food fills the fridge" in person.see("/calendars")
    seen, _ = person.work("/calendars/look")
    assert "Guests' food fills the fridge from 2 days before" in seen


def test_work_that_fails_says_why(person: Person) -> None:
    seen, _ = person.work("/plan/look")
    assert "It is not said where entries are written." in seen


def test_what_to_do_about_dough_nobody_can_go_on_with_is_said_as_taps() -> None:
    said = plain(UNDER_WAY.format("Dark loaf"))
    assert "rotation" not in said
    assert "“Done” on the page of the step" in said
    assert "“Not yet” on the page of the step" in said


def test_before_there_is_a_plan(person: Person, clock: Clock) -> None:
    shutil.rmtree(person.folder / ".rotation")
    other = Person(person.folder, clock)
    assert "There is no plan yet." in other.see("/")
    assert "There is no plan yet." in other.see("/week")
    assert "Make a plan" in other.see("/plan")
    assert "Nothing is counting down." in other.see("/timers")
    assert "2 Country loaves" in other.see("/freezer")


def test_a_plan_that_is_over(person: Person, clock: Clock) -> None:
    clock.now = at("2027-03-10T08:00")
    assert "The plan has ended." in person.see("/")
    assert "The plan has ended." in person.see("/week")
    assert "The plan has ended." in person.see("/plan")


def test_no_message_sends_anybody_to_a_terminal(person: Person, clock: Clock) -> None:
    clock.now = at(f"{SATURDAY}22:00")
    person.tap("/step/sat-mix/as-planned")
    pages = [person.see(path) for path in ("/", "/week", "/plan", "/freezer", "/step/sat-mix", "/calendars")]
    refused = [
        person.refused("/take-back", step="sat-out"),
        person.refused("/freezer/bag/Q/take"),
        person.refused("/step/sat-oven/skip"),
    ]
    assert not [text for text in (*pages, *refused) if re.search(r"\brotation (?!serve)[a-z]+", text)]


@pytest.mark.parametrize("back", ["//elsewhere.example", "https://elsewhere.example/", "/../x?y", "javascript:1"])
def test_no_form_leads_elsewhere(person: Person, back: str) -> None:
    assert person.send("/step/sat-thaw/done", back=back).status_code == 422


def test_nothing_is_recorded_without_the_token_of_a_page(person: Person, clock: Clock) -> None:
    client = TestClient(person.app, "http://localhost", follow_redirects=False)
    for path in ("/step/sat-thaw/done", "/all-as-planned", "/freezer/take", "/freezer/count", "/plan", "/guests/agree"):
        answer = client.post(path, data={"csrf": "x", "once": ONE, "kind": "country|part-baked", "day": "2027-03-07",
                                         "at": "12:00", "heads": "2"})  # fmt: skip
        assert answer.status_code == 403, path


def test_not_yet_says_that_it_was_begun(person: Person, clock: Clock) -> None:
    clock.now = at(f"{SATURDAY}17:05")
    assert "Done Not yet More" in person.see("/")
    seen, _ = person.work("/step/sat-shape/later")
    assert "Give it the time it wants" in seen
    assert ("sat-mix", "done", True) in said(person)


def test_why_a_step_is_planned_so(person: Person) -> None:
    seen, _ = person.work("/step/sat-mix/why")
    assert "Why? " in seen
    assert "It feeds Brunch Sun 7 Mar 10:00 (8)" in seen


def test_the_shopping_list_what_was_bought_and_what_is_there(person: Person) -> None:
    assert re.search(r"today, before 15:20 4.9 g of yeast, .*491 g of wheat flour", person.see("/shopping"))
    told = person.tap("/shopping/bought", ONE)
    assert re.search(r"Bought: .*491 g of wheat flour", told)
    assert person.tap("/shopping/bought", ONE) == told
    assert "Nothing to buy." in person.see("/shopping")
    person.tap("/take-back", shopping="1")
    assert "Nothing to buy." not in person.see("/shopping")
    assert "There: 900 g of wheat flour." in person.tap("/shopping/there", name="wheat flour", mass="900 g")
    assert "900 g wheat flour" in person.see("/shopping")
    assert "is not a mass" in person.refused("/shopping/there", name="wheat flour", mass="a handful")


def test_what_to_mind_stands_at_the_act(person: Person, clock: Clock) -> None:
    clock.now = at(f"{SATURDAY}17:45")
    cards = re.findall(r"<article.*?</article>", person.client.get("/").text, re.DOTALL)
    (into,) = [one for one in cards if "IN: 1 Country loaf" in one]
    assert into.index("Careful: hot oven.") < into.index("<summary>How</summary>"), "also while the rest is folded away"


def test_the_starter_was_fed(person: Person, clock: Clock) -> None:
    clock.now = at(f"{SATURDAY}09:00")
    assert "Starter fed last: not known" in person.see("/")
    assert "Starter fed, 9:00." in person.tap("/starter/fed", ONE)
    assert "Starter fed last: 9:00 Not fed then" in person.see("/")
    undo = "11111111-2222-4333-8444-777777777777"
    for _ in range(2):
        assert "Taken back: starter fed, 9:00." in person.tap("/take-back", undo, step="starter")
    assert "Starter fed last: not known Fed just now" in person.see("/")
    assert "no feed of the starter was said" in person.refused("/take-back", step="starter").lower()


def test_the_starter_was_fed_when_the_stock_says_so(person: Person, clock: Clock) -> None:
    clock.now = at(f"{SATURDAY}09:00")
    stock = person.folder / "stock.toml"
    stock.write_text("starter_fed = 2027-02-27T12:00:00\n" + stock.read_text(encoding="utf-8"), encoding="utf-8")
    assert "Starter fed last: Sat 27 Feb 12:00 Fed just now" in person.see("/")
    person.tap("/starter/fed")
    assert "Starter fed last: 9:00 Not fed then" in person.see("/")


def test_a_household_reads_its_own_clocks_and_units(person: Person, clock: Clock) -> None:
    settings = person.folder / "household.toml"
    shown = '\n[shown]\nmass = "oz"\ntemperature = "degF"\nclock_hours = 12\n'
    settings.write_text(settings.read_text(encoding="utf-8") + shown, "utf-8")
    clock.now = at(f"{SATURDAY}17:30")
    person.work("/plan", work="quick")
    seen = person.see("/")
    assert "5:30 pm" in seen
    assert "OVEN ON 425 degF" in seen
    assert "oz of wheat flour" in person.see("/shopping")
