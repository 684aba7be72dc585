"""The fourteen allergens that must be told.

Source: Regulation (EU) No 1169/2011, Annex II; the same fourteen stand in the food law of the United Kingdom.
The names are shortened; the Annex has exceptions (such as fully refined soybean oil) that are not judged here.
"""

# Code in the brief's document: what a person reads, in the Annex's order.
NAMES = {
    "gluten": "cereals with gluten",
    "crustaceans": "crustaceans",
    "eggs": "eggs",
    "fish": "fish",
    "peanuts": "peanuts",
    "soybeans": "soybeans",
    "milk": "milk",
    "nuts": "nuts",
    "celery": "celery",
    "mustard": "mustard",
    "sesame": "sesame",
    "sulphites": "sulphites over 10 mg/kg",
    "lupin": "lupin",
    "molluscs": "molluscs",
}


def words(codes: list[str] | None) -> str:
    """Allergens as people read them: "milk, eggs", "none of the fourteen", "not stated"."""
    if codes is None:
        return "not stated"
    return ", ".join(NAMES.get(code, code) for code in codes) or "none of the fourteen"
