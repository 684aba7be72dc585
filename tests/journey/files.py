"""The files that people of the journey send: layouts drawn at their true sizes, and the mockups of the demo."""

from dataclasses import dataclass
from pathlib import Path

from fixtures.demo.artwork import Artwork, draw
from fixtures.demo.scenario import PICTURES

MOCKUPS = {1: PICTURES / "tall-stack.jpg", 2: PICTURES / "porridge-bowl.jpg"}
ENGLISH, WELSH = "en-GB", "cy"
HEADLINES = {
    (1, ENGLISH): ["Slow mornings,", "stacked."],
    (1, WELSH): ["Boreau araf,", "yn bentwr."],
    (2, ENGLISH): ["Stir. Breathe.", "Begin."],
    (2, WELSH): ["Troi. Anadlu.", "Dechrau."],
}
LEGAL = "Serving suggestion. Contains cereals with gluten, milk and eggs."
# Format: its artwork's pixels. The last is entered by hand: 4000 x 2000 mm at 1 : 10 and 300 ppi.
SIZES = {
    "96-sheet": (12192, 3048),
    "6-sheet": (3543, 5315),
    "Portrait screen, 75 inch": (1080, 1920),
    "Hoarding at the works": (4724, 2362),
}
DOUBTFUL = (2, "Portrait screen, 75 inch", WELSH)
WRONG = (1, "6-sheet", ENGLISH)


@dataclass(frozen=True)
class Layouts:
    """Paths by (shot, format, language), and three apart: in doubt, wrong, and a newer revision."""

    ordered: dict[tuple[int, str, str], Path]
    doubtful: Path
    square: Path
    newer: Path


def draw_layouts(folder: Path) -> Layouts:
    """Every layout that is ordered; the hand-entered format is wanted in English alone."""
    ordered = {}
    for shot in (1, 2):
        for name, size in SIZES.items():
            for language in (ENGLISH, WELSH):
                if name == "Hoarding at the works" and language == WELSH:
                    continue
                path = folder / f"KIT-1_shot{shot}_{_plain(name)}_{language}_v1.png"
                _draw(path, shot, size, language)
                ordered[shot, name, language] = path
    doubtful = ordered.pop(DOUBTFUL).rename(folder / "Layout 7 copy.png")
    square = folder / f"KIT-1_shot1_6-sheet_{ENGLISH}_v0.png"
    _draw(square, 1, (3543, 3543), ENGLISH)
    newer = folder / f"KIT-1_shot1_96-sheet_{ENGLISH}_v2.png"
    _draw(newer, 1, SIZES["96-sheet"], ENGLISH, headline=["Slower mornings,", "stacked."])
    return Layouts(ordered, doubtful, square, newer)


def draw_big(folder: Path) -> list[Path]:
    """The first shot's 96-sheet in both languages."""
    paths = {language: folder / f"shot1_96-sheet_{language}.png" for language in (WELSH, ENGLISH)}
    for language, path in paths.items():
        _draw(path, 1, SIZES["96-sheet"], language)
    return list(paths.values())


def _draw(path: Path, shot: int, size: tuple[int, int], language: str, headline: list[str] | None = None) -> None:
    words = headline or HEADLINES[shot, language]
    draw(Artwork(width=size[0], height=size[1], headline=words, legal=LEGAL, ink="dark"), path)


def _plain(name: str) -> str:
    return name.replace(",", "").replace(" ", "-")
