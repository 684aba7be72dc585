"""What is said wherever props are shown."""

# Common practice, no source.
CAUTIONS = (
    "Glass and pottery break: wear shoes on set, sweep at once, and throw away food that stood beside it.",
    "What touches food that is eaten must be fit for food; what is not is marked so.",
    "Blades and forks lie with their points away from whoever reaches in.",
)
