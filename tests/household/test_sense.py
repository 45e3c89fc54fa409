"""What makes no sense as a whole: each is named at its setting, and nothing else is."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from rotation.errors import BadInput, Mistake
from rotation.household.reading import read_home

HOME, COUNTRY, STOCK = "household.toml", "breads/country.toml", "stock.toml"


def preferment(**settings: object) -> str:
    """Return a preferment of the formula, to stand before [oven]."""
    given = {"name": "a", "flour_percent": 10} | settings
    lines = [f"{key} = {value!r}".replace("'", '"') for key, value in given.items() if key != "flours"]
    lines += [f"flours = {given['flours']}"] if "flours" in given else []
    return "[[formula.preferments]]\n" + "\n".join(lines) + "\n[oven]"


def heat_down(*after: int, degc: int = 210) -> tuple[str, str]:
    """Return the loaf's oven, and the same with other temperatures to set on the way, each ten degrees lower."""
    oven = "covered_minutes = 20\nuncovered_minutes = 20"
    turns = (f"{{ after_minutes = {minutes}, degc = {degc - 10 * n} }}" for n, minutes in enumerate(after))
    return oven, f"{oven}\nthen = [{', '.join(turns)}]"


def route(**settings: object) -> str:
    """Return a route that is right but for the settings given."""
    given = {"id": "r", "form": "part-baked", "gives": "finished", "place": "worktop", "thaw_hours": [5, 16]} | settings
    oven = given.pop("oven", "[{ degc = 220, minutes = 18 }]")
    lines = [f"{key} = {value!r}".replace("'", '"') for key, value in given.items() if value is not None]
    return "\n[[routes]]\n" + "\n".join(lines) + (f"\noven = {oven}\n" if oven else "\n")


def exception(setting: str, *more: str) -> str:
    """Return something different on a day."""
    dates = "from = 2027-03-05\nuntil = 2027-03-06\n"
    return f'[[exceptions]]\n{dates}setting = "{setting}"\n' + "".join(f"{line}\n" for line in more)


UNDER_WAY = """
[[under_way]]
bread = "country"
process = "day"
pieces = 2
done = [{ step = "mix", start = 2027-02-28T08:00:00, end = 2027-02-28T08:15:00 }]
"""
TWICE_SIXTY = preferment(flour_percent=60, hydration_percent=30).replace(
    "[oven]", preferment(name="b", flour_percent=60, hydration_percent=30)
)
SECOND_LOT = """\
letter = "B"
bagged = 2027-02-01

[[lots]]
bread = "country"
form = "part-baked"
units = 1
letter = "b"
"""
WHEAT = '{ "strong wheat flour" = 100 }\nwater_percent = 72\nothers = { salt = 2 }\n\n[oven]'
RYE = '{ "strong wheat flour" = 95, "rye flour" = 5 }\nwater_percent = 72\n' + preferment(
    flours='{ "rye flour" = 100 }'
)
BAG = '  { name = "bag", hands_minutes = 2 },\n'


@pytest.mark.parametrize(("file", "old", "new", "setting", "wrong"), [
    (COUNTRY, "others = { salt = 2 }", "others = { butter = 200 }", "formula.others.butter", "more than a dough holds"),
    (COUNTRY, "[oven]", TWICE_SIXTY,
     "formula.preferments", "120 % of the flour"),
    (COUNTRY, "[oven]", preferment(flour_percent=40, hydration_percent=250), "formula.water_percent",
     "hold 100 % water"),
    (COUNTRY, "[oven]", preferment(flours='{ "strong wheat flour" = 50 }'), "formula.preferments.0.flours", "not 100"),
    (COUNTRY, "[oven]", preferment(flours='{ "rye flour" = 100 }'), 'formula.preferments.0.flours."rye flour"',
     "not among"),
    (COUNTRY, WHEAT, RYE, 'formula.preferments.0.flours."rye flour"', "has 5 %"),
    (COUNTRY, "[oven]", preferment(seed_percent=20, seed_from="b"), "formula.preferments.0.seed_from",
     "no preferment is"),
    (COUNTRY, "[oven]", preferment().replace("[oven]", preferment(name="b", seed_from="a")),
     "formula.preferments.1.seed_from", "takes none"),
    (COUNTRY, "[oven]", preferment().replace("[oven]", preferment()), "formula.preferments.1.name", "there twice"),
    (COUNTRY, "piece_grams = 900", "piece_grams = 900\nbaked_grams = 950", "baked_grams", "heavier than its dough"),
    (COUNTRY, BAG, "", "processes.0.stages", 'no step is called "bag"'),
    (COUNTRY, "covered_minutes = 20\nuncovered_minutes = 20", "uncovered_minutes = 0", "oven", "for no minute"),
    (COUNTRY, *heat_down(40), "oven.then.0.after_minutes", "before 40, when the bread is out"),
    (COUNTRY, *heat_down(30, 20), "oven.then.1.after_minutes", "not after 30"),
    (COUNTRY, *heat_down(20, degc=230), "oven.then.0.degc", "it is 230 by then"),
    (COUNTRY, "pieces = [1, 2]", "pieces = [1, 200]", "processes", "180 kg of dough"),
    (COUNTRY, "[forms.part-baked]", "[forms.part-baked]\ncool_minutes = 900", "forms.part-baked",
     "cool only after 900"),
    (COUNTRY, "[forms.part-baked]", "[forms.part-baked]\ntoast_after_weeks = 1", "forms.part-baked.toast_after_weeks",
     "before it is eaten first"),
    (COUNTRY, "[forms.part-baked]", "[forms.part-baked]\nunits_per_piece = 4", "forms.part-baked.units_per_piece",
     "slices"),
    (COUNTRY, "", route(thaw_hours=[16, 5]), "routes.0.thaw_hours", "above its longest"),
    (COUNTRY, "", route(place=None), "routes.0.place", "does not say where"),
    (COUNTRY, "", route(thaw_hours=[0, 0]), "routes.0.thaw_hours", "for no minute"),
    (COUNTRY, "", route() + route(), "routes.1.id", "there twice"),
    (COUNTRY, "", route(gives="thawed", oven=""), "routes.0.gives", "finished in the oven before"),
    (COUNTRY, "[forms.part-baked]", "[forms.sliced]\n[forms.part-baked]" + route(form="sliced", gives="toast", oven=""),
     "routes.0.place", "straight from the freezer"),
    (COUNTRY, BAG, '  { name = "bag", hands_minutes = 2, then_minutes = [0, 9] },\n',
     "processes.0.stages.3.then_minutes", "told by the forms"),
    (COUNTRY, BAG, '  { name = "cool", hands_minutes = 2, then_minutes = [0, 9] },\n' + BAG,
     "processes.0.stages.3", "comes after the oven"),
    (COUNTRY, '"shape", hands', '"mix", hands', "processes.0.stages.1.name", "there twice"),
    (COUNTRY, 'id = "day"', 'id = "day"\nspans = [{ first = "mix", second = "bag", minutes = [1, 2] }]',
     "processes.0.spans.0.second", 'cannot end at "bag"'),
    (COUNTRY, 'id = "day"', 'id = "day"\nspans = [{ first = "mix", second = "oven", minutes = [900, 800] }]',
     "processes.0.spans.0.minutes", "above its longest"),
    (COUNTRY, 'id = "day"', 'id = "day"\nspans = [{ first = "mix", second = "oven", minutes = [9000, 9500] }]',
     "processes.0.spans.0.minutes", "take at most"),
    (HOME, "bakes = true", "bakes = true\nunder_six = true", "people.0.adult", "under six"),
    (HOME, "bakes = true", 'bakes = true\nidentity.names = ["Jo"]\n[[people]]\nid = "kim"\nidentity.names = ["jo"]',
     "people.1.identity.names", "there twice"),
    (HOME, "", '[[calendars]]\nname = "Oven"\npath = "x"\nrole = "oven"\noven = "ovn"\n', "calendars.1.oven",
     "no oven"),
    (HOME, "", "[[ovens]]\nheat_up_minutes = 60\n", "ovens.0.heat_up_vessel_minutes", "no less time"),
    (HOME, "", '[[ovens]]\non_from = "12:00"\noff_by = "11:00"\n', "ovens.0.off_by", "off before"),
    (HOME, "", exception("away", "value = 3"), "exceptions.0.value", "has no value"),
    (HOME, "", exception("away", 'person = "max"'), "exceptions.0.person", "nobody is called"),
    (HOME, "", exception("bowls", "value = 2", 'person = "jo"'), "exceptions.0.person", "about nobody"),
    (HOME, "", exception("oven closed", 'oven = "x"'), "exceptions.0.oven", "no oven is called"),
    (HOME, "", '[[meals]]\nsummary = "x"\nstrict = true\nways = "bought"\n', "meals.0.ways", "for a strict meal"),
    (HOME, "", '[[meals]]\nsummary = "x"\nwarm = true\nways = "bought"\n', "meals.0.ways", "is not warm"),
    (HOME, "", '[shop]\nallergens = ["x"]\n', "shop.allergens.0", "not an allergen"),
    (HOME, "", '[[habits.holidays]]\n', "habits.holidays.0", "which events"),
    (HOME, "", '[habits]\nlunch_breads = "x"\n', "habits.lunch_breads.0", "no bread is called"),
    (HOME, "", "[habits]\nby_bread = { x = 0.5 }\n", "habits.by_bread.x", "no bread is called"),
    (HOME, "", '[[wishes]]\nkind = "fixed"\nbread = "country"\nat = 2027-03-05T08:00:00\n', "wishes.0", "which step"),
    (HOME, "", '[[wishes]]\nkind = "no bake"\nbread = "country"\nat = 2027-03-05T08:00:00\n', "wishes.0", "how long"),
    (HOME, "", '[[wishes]]\nkind = "no bake"\nbread = "x"\nat = 2027-03-05T08:00:00\nuntil = 2027-03-06T08:00:00\n',
     "wishes.0.bread", "no bread is called"),
    (STOCK, "", UNDER_WAY.replace('"day"', '"night"'), "under_way.0.process", "has no process"),
    (STOCK, "", UNDER_WAY.replace('"mix"', '"shape"'), "under_way.0.done.0.step", 'is "mix"'),
    (STOCK, "", UNDER_WAY.replace("T08:15", "T07:15"), "under_way.0.done.0.end", "before it begins"),
    (STOCK, "", UNDER_WAY.replace('"country"', '"x"'), "under_way.0.bread", "no bread is called"),
    (STOCK, "", '[[box]]\nbread = "x"\nportions = 2\nready = 2027-02-28T08:00:00\n', "box.0.bread",
     "no bread is called"),
    (STOCK, "units = 2", "units = 2\n" + SECOND_LOT, "lots.1.letter", "there twice"),
])  # fmt: skip
def test_what_makes_no_sense(
    mistakes: Callable[[str, str, str], tuple[Mistake, ...]], file: str, old: str, new: str, setting: str, wrong: str
) -> None:
    found = mistakes(file, old, new)
    assert [mistake.setting for mistake in found] == [setting], "\n".join(map(str, found))
    assert wrong in found[0].wrong
    assert found[0].line is not None


def test_what_makes_no_sense_together(folder: Path) -> None:
    path = folder / COUNTRY
    text = path.read_text(encoding="utf-8")
    (folder / STOCK).unlink()
    nothing = text.replace("[forms.part-baked]", "").replace("[formula]", "table = false\n[formula]", 1)
    filled = text.replace("[forms.part-baked]", "[forms.part-baked]\nbag_by_hours = 5")
    filled = filled.replace("[formula]", 'kind = "filled"\n[formula]', 1)
    slow = text.replace("[formula]", 'kind = "filled"\n[formula]', 1) + route(place="fridge", keeps_hours=12)
    settings = ("table", "forms.part-baked.bag_by_hours", "routes.0.keeps_hours")
    for spoilt, setting in zip((nothing, filled, slow), settings, strict=True):
        path.write_text(spoilt, encoding="utf-8")
        with pytest.raises(BadInput) as bad:
            read_home(folder)
        assert [mistake.setting for mistake in bad.value.mistakes] == [setting]
