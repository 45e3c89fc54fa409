"""Allergens of ingredients: the 14 groups of Regulation (EU) 1169/2011 Annex II, and the kinds it names.

An ingredient has a group and, for cereals and nuts, a kind: wheat flour is "gluten" and "wheat". An ingredient that is
not in the table counts as everything: its allergen is "?".
"""

from __future__ import annotations

EU = (
    "gluten", "crustaceans", "egg", "fish", "peanut", "soy", "milk", "nuts", "celery", "mustard", "sesame",
    "sulphites", "lupin", "molluscs",
)  # fmt: skip
CEREALS = ("wheat", "rye", "barley", "oats")
NUTS = ("almond", "hazelnut", "walnut", "cashew", "pecan", "brazil nut", "pistachio", "macadamia")
ALL = frozenset((*EU, *CEREALS, *NUTS))
UNKNOWN = "?"
