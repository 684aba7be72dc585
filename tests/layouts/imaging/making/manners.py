"""Two manners of drawing. The code was tuned on the first alone; the second is there to find it out."""

from __future__ import annotations

from pathlib import Path

from tests.layouts.imaging.making.made import Manner

_HERE = Path(__file__).resolve().parents[4]
_SERIF = str(_HERE / "fixtures/demo/fonts/Fraunces_600SemiBold.ttf")
_ITALIC = str(_HERE / "fixtures/demo/fonts/Fraunces_600SemiBold_Italic.ttf")
_SANS = ""  # Pillow's own

FIRST = Manner(
    fonts=(_SERIF, _ITALIC, _SANS),
    texts=(
        "Slow mornings", "Fresh from the pan", "Warm, at last.", "One person, one fork", "Gwell na tost", "Oh, butter!",
        "Still hot at eight", "OPEN FROM SEVEN", "A stack that took its time", "Nice & slow", "Two for £5.49",
        "Breakfast",
    ),
    brand=((176, 32, 40), (0, 96, 84), (250, 196, 20), (28, 60, 140), (236, 110, 36)),
)  # fmt: skip

SECOND = Manner(
    fonts=(_ITALIC, _SANS, _SERIF, _SANS),
    texts=(
        "Long evenings", "Straight off the grill", "Crisp. Really.", "Ask for extra", "MORE OF EVERYTHING",
        "Jusqu'à minuit", "Für alle Hungrigen", "Ready in 12 minutes", "No hurry, no worry", "The whole bowl",
        "Eat it while it is hot", "Yes",
    ),
    brand=((90, 20, 120), (12, 140, 200), (240, 220, 190), (60, 60, 30), (220, 40, 120)),
    headline=(0.08, 0.26),
    leading=(0.95, 1.3),
    margin=(0.025, 0.3),
    hatch=(8, 64),
    half=(50, 235),
    shadow=(0.25, 0.8),
    blur=(0.03, 0.35),
    stroke=(1, 9),
    sizes=(700, 3400),
)  # fmt: skip
