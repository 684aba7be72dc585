"""How type reads over its picture, what covers the hero, and what an eye makes of it."""
