"""What is said wherever hero food is shown."""

# UK guidance, from memory; local food law decides.
HOT, COLD = "63 °C", "8 °C"

CAUTIONS = (
    f"Hot food that will be eaten is held at {HOT} or above, chilled food at 5 °C to {COLD} or below; "
    "local food law decides.",
    "What was glued, oiled, pinned or painted is marked not for eating, and kept apart from what is eaten.",
    "Everybody on set is told the allergens before food comes in.",
    "Knives, oil, steam and hot trays: announce them, and keep the way to the set clear.",
)
