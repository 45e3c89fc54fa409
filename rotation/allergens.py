"""Allergens of ingredients: the 14 groups of Regulation (EU) 1169/2011 Annex II, and the kinds it names (E01-E03).

An ingredient has a group and, for cereals and nuts, a kind: wheat flour is "gluten" and "wheat". Every word of a name
must be known, as an ingredient or as a word that says only how it is made; else the name also counts as everything,
which is written "?". IDs of sources are those of `tests/outside/data/references.csv`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import lru_cache

EU = (
    "gluten", "crustaceans", "egg", "fish", "peanut", "soy", "milk", "nuts", "celery", "mustard", "sesame",
    "sulphites", "lupin", "molluscs",
)  # fmt: skip
CEREALS = ("wheat", "rye", "barley", "oats")
NUTS = ("almond", "hazelnut", "walnut", "cashew", "pecan", "brazil nut", "pistachio", "macadamia")
ALL = frozenset((*EU, *CEREALS, *NUTS))
US = frozenset(("milk", "egg", "fish", "crustaceans", "nuts", "peanut", "wheat", "soy", "sesame"))
"""The list of the United States, nine groups (E05)."""

UNKNOWN = "?"

_CONTAINS = """
gluten, wheat: wheat, wholewheat, spelt, khorasan, durum, semolina, bulgur, einkorn, emmer, couscous, breadcrumbs
gluten, wheat: seitan
gluten, wheat: white flour, bread flour, strong flour, strong white flour, strong white bread flour, plain flour
gluten, wheat, rye: triticale
gluten, rye: rye
gluten, barley: barley, malt, malt extract, malt syrup, beer
gluten, oats: oat, oats, oatmeal, oat milk, oat drink
gluten: gluten
milk: milk, butter, whey, buttermilk, yoghurt, yogurt, ghee, cream, quark, curd, cheese, ricotta, mozzarella, parmesan
milk: feta, lactose, casein, skyr, kefir
egg: egg, eggs, egg wash, yolk, yolks, mayonnaise
soy: soy, soya, tofu, lecithin, soy milk, soya milk
sesame: sesame, tahini, halva
nuts: nut, nuts
nuts, milk: pesto
nuts, almond: almond, almonds, marzipan, almond milk, almond butter
nuts, hazelnut: hazelnut, hazelnuts, hazelnut butter
nuts, walnut: walnut, walnuts
nuts, cashew: cashew, cashews, cashew butter, cashew milk
nuts, pecan: pecan, pecans
nuts, brazil nut: brazil nut, brazil nuts
nuts, pistachio: pistachio, pistachios
nuts, macadamia: macadamia, macadamias, macadamia nut, macadamia nuts
peanut: peanut, peanuts, peanut butter
lupin: lupin, lupine
celery: celery, celeriac
mustard: mustard
fish: fish, anchovy, anchovies, tuna, salmon
crustaceans: shrimp, shrimps, prawn, prawns, crab, lobster
molluscs: mussel, mussels, squid, oyster, oysters, clam, clams
sulphites: sulphites, wine, dried fruit, candied peel, candied fruit, raisin, raisins, sultana, sultanas, currants
sulphites: dried apricot, dried apricots, dried figs, dried plums, dried apples
: wheat glucose syrup, wheat maltodextrin, barley glucose syrup, glucose, glucose syrup, maltodextrin
: refined soy oil, refined soya oil, sunflower lecithin, rapeseed lecithin
: unsulphured raisins, unsulphured sultanas, unsulphured currants, unsulphured dried apricots, unsulphured dried fruit
: coconut, coconut milk, coconut cream, rice milk, cocoa, cocoa butter, butter beans
: water, salt, yeast, sugar, honey, syrup, molasses, treacle, oil, olive, olives, rapeseed, sunflower, linseed, linseeds
: flax, flaxseed, pumpkin, poppy, chia, rice, maize, corn, cornmeal, polenta, potato, potatoes, buckwheat, millet
: quinoa, teff, tapioca, chickpea, lentil, psyllium, apple, apples, orange, lemon, banana, carrot, carrots, onion
: onions, garlic, tomato, tomatoes, spinach, pepper, rosemary, thyme, oregano, caraway, fennel, coriander, cumin
: aniseed, cinnamon, cardamom, nutmeg, vanilla, ginger, cloves, saffron, turmeric, vinegar, cranberries, dates, figs
: plums, apricots, ascorbic acid, baking soda, lard
"""
"""What contains what, one line each (E02, E03, E04 for dried fruit, E07, E08; exempt: E09). Longer names go first."""

_HOW = """
    flour flours meal bran germ flakes kernel kernels seed seeds strong extra fine coarse white brown light dark
    wholemeal wholegrain whole grain high extraction medium stone ground stoneground organic fresh dried dry
    active instant roasted toasted unroasted raw chopped grated sliced flaked rolled cracked sprouted soaked cooked
    mashed melted soft cold warm unsalted salted sea table caster icing granulated ripe powder skimmed semi full fat low
    zest peel juice puree kibbled malted starch black virgin pressed bread baker s of and
"""
"""Words that say how an ingredient is made, not what it is."""


@lru_cache(maxsize=1)
def _table() -> dict[tuple[str, ...], frozenset[str]]:
    """Return the allergens of each known name, as words."""
    found: dict[tuple[str, ...], frozenset[str]] = {}
    for line in _CONTAINS.strip().splitlines():
        kinds, _, names = line.partition(":")
        for name in names.split(","):
            found[tuple(name.split())] = frozenset(kind.strip() for kind in kinds.split(",") if kind.strip())
    return found


@lru_cache(maxsize=1024)
def allergens_of(ingredient: str) -> frozenset[str]:
    """Return the allergens of an ingredient by its name; with "?" if a part of it is not known."""
    words = re.findall(r"[^\W\d_]+", ingredient.casefold().replace("e322", "lecithin"))
    found: set[str] = set()
    known = False
    place = 0
    while place < len(words):
        for length in (4, 3, 2, 1):
            name = tuple(words[place : place + length])
            if len(name) == length and name in _table():
                found |= _table()[name]
                known = True
                break
        else:
            length = 1
            if words[place] not in _HOW.split():
                found.add(UNKNOWN)
        place += length
    return frozenset(found if known else found | {UNKNOWN})


def allergens(ingredients: Iterable[str], contains: Mapping[str, Iterable[str]] | None = None) -> frozenset[str]:
    """Return the allergens of all ingredients. contains: what the household says of its own, by name, instead."""
    own = {name.casefold(): frozenset(said) for name, said in (contains or {}).items()}
    return frozenset().union(*(own.get(name.casefold(), allergens_of(name)) for name in ingredients))


def on_us_list(found: Iterable[str]) -> frozenset[str]:
    """Return those that the United States' list names too (E05, E06)."""
    return frozenset(found) & US


def unknown_in(ingredients: Iterable[str], contains: Mapping[str, Iterable[str]] | None = None) -> tuple[str, ...]:
    """Return the ingredients of which not everything is known, in order."""
    return tuple(name for name in ingredients if UNKNOWN in allergens([name], contains))


def beside(own: Iterable[str], others: Mapping[str, Iterable[str]]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return what other breads hold that this one does not, by the other's name: in one oven or kitchen it may cross.

    An ingredient nobody looked up stands as "?". Kinds of a group that both hold are named too: rye beside wheat.
    """
    mine = frozenset(own)
    found = ((name, tuple(sorted(frozenset(holds) - mine))) for name, holds in others.items())
    return tuple((name, extra) for name, extra in found if extra)
