"""Protects the list of allergens: the fourteen of Regulation (EU) No 1169/2011, Annex II, in its order."""

from shots.food.allergens import NAMES, words

# Regulation (EU) No 1169/2011, Annex II, points 1 to 14; shortened, without its exceptions.
ANNEX_II = [
    "cereals with gluten", "crustaceans", "eggs", "fish", "peanuts", "soybeans", "milk", "nuts", "celery", "mustard",
    "sesame", "sulphites over 10 mg/kg", "lupin", "molluscs",
]  # fmt: skip


def test_allergens_are_the_fourteen_of_annex_ii():
    assert list(NAMES.values()) == ANNEX_II
    assert len(ANNEX_II) == 14


def test_allergens_are_told_in_words():
    assert words(["gluten", "sulphites"]) == "cereals with gluten, sulphites over 10 mg/kg"
    assert words([]) == "none of the fourteen"
    assert words(None) == "not stated"
