"""Protects how right inspection is on drawn files of every kind, of two manners: window, type, faults, and being sure.

A fast part of what tests/bench/inspecting.py measures on many hundreds; the truth is how each file was drawn.
"""

from dataclasses import replace

import pytest

from tests.layouts.imaging.making import kinds, manners
from tests.layouts.imaging.making.judging import SURE, Tally, inspected, judge

# Of each kind one file of either manner; the seeds are not those that the code was tuned on.
FIRST, SECOND = (replace(manner, sizes=(700, 1700)) for manner in (manners.FIRST, manners.SECOND))  # small: quick
SEEDS = {"first": (FIRST, 31), "second": (SECOND, 32)}
SMALL = [kind for kind in kinds.GOOD if kind not in ("PSD", "frame of the artwork")]
# Good files to each fault beside it: one thing only tells them apart.
PAIRS = {
    "no-alpha": ("on white, no alpha", "canvas = crop"),
    "flattened-ground": ("on white", "type over most, no surround"),
    "nothing-solid": ("all half-clear", "soft shadows and glows"),
    "wrong-shape": ("wrong shape", "band touches surround"),
    "too-few-pixels": ("too few pixels", "grey surround"),
    "stray-half-clear": ("stray haze", "soft dark foot"),
    "window-off-centre": ("off centre", "half-clear surround"),
    "no-profile": ("no profile", "profile sRGB"),
    "cmyk": ("CMYK", "TIFF"),
    "same-as-older": ("last week's, new name", "new revision, 1 px moved"),
    "name-says-other": ("name of another size", "WebP"),
    "dark-fringe": ("dark fringe", "anti-aliased edges"),
}


@pytest.fixture(scope="module", params=SEEDS)
def good(request, tmp_path_factory):
    """Findings on good files of one manner, kind by kind."""
    manner, seed = SEEDS[request.param]
    folder = tmp_path_factory.mktemp(request.param)
    return {kind: judge(kinds.make(kind, seed, folder, manner)) for kind in SMALL}


def test_windows_type_and_faults_of_good_files_are_as_drawn(good):
    whole = Tally()
    for one in good.values():
        whole.take(one)
    told = "\n".join(f"{kind}: {one.complaint}" for kind, one in good.items() if one.complaint)
    assert whole.exact == whole.sharp, told
    assert whole.zones_right >= 0.95 * whole.zones, told
    assert whole.lines_right >= 0.95 * whole.lines, told
    assert (whole.false_must, whole.missed, whole.wrong_and_sure) == (0, 0, 0), told


def test_being_sure_says_something(good):
    sure = [one.sure for one in good.values() if one.exact]
    assert sum(value >= SURE for value in sure) >= 0.8 * len(sure)


@pytest.mark.parametrize("code", PAIRS)
@pytest.mark.parametrize("seed", [41, 42])
def test_each_fault_is_found_where_it_was_drawn_and_nowhere_else(tmp_path, code, seed):
    bad, fine = (kinds.make(kind, seed, tmp_path, FIRST) for kind in PAIRS[code])

    found = {fault.code: fault.says for fault in inspected(bad).faults}

    assert code in found
    assert code not in {fault.code for fault in inspected(fine).faults}
    assert found[code].endswith((".", "?"))


@pytest.mark.parametrize(
    ("kind", "code", "says"),
    [
        ("checkerboard", "flattened-ground", "The checkerboard that programs show behind transparency is part of this"),
        ("on white, in a surround", "flattened-ground", "of its window is solid, on white"),
        ("another language's name", "name-says-other", "says Welsh; this place is for British English"),
        (
            "last week's, new name",
            "same-as-older",
            "pixel for pixel, though saved anew, as revision 1: 0 pixels differ",
        ),
        ("dark fringe", "dark-fringe", "edges in the type's own colour have 0\u202f%"),
    ],
)
def test_faults_are_said_with_what_was_measured(tmp_path, kind, code, says):
    found = {fault.code: fault.says for fault in inspected(kinds.make(kind, 43, tmp_path, SECOND)).faults}

    assert says in found[code]


def test_a_frame_of_the_artwork_is_never_surely_taken_for_a_surround(tmp_path):
    """Where window and canvas both have the ordered shape and no pixels are ordered, nobody can know."""
    for seed in range(50, 54):
        one = judge(kinds.make("frame of the artwork", seed, tmp_path, FIRST))
        assert one.exact or one.sure < SURE, one.complaint


def test_a_file_drawn_again_is_the_same(tmp_path):
    """Else no finding could be looked at again."""
    first, second = (tmp_path / name for name in ("first", "second"))
    for folder in (first, second):
        folder.mkdir()
    one, other = (kinds.make("hatched surround", 7, folder, FIRST) for folder in (first, second))
    assert one.path.read_bytes() == other.path.read_bytes()
    assert (one.window, one.blocks, one.lines) == (other.window, other.blocks, other.lines)
