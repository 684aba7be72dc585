"""Protects a worker from small files that claim or unfold to huge ones: a sentence each, in a part of its memory."""

import pytest

from tests.hostile.bombs import BOMBS, LARGE, READ, write_bomb
from tests.hostile.reading import read_all

QUICK = [name for name in BOMBS if name not in LARGE]
# The most that one of the quick ones takes is a PDF's own process, or a picture of 200 megapixels that is not there.
MEBIBYTES = 1700


@pytest.fixture(scope="module")
def outcomes(tmp_path_factory):
    folder = tmp_path_factory.mktemp("bombs")
    found = read_all(write_bomb(folder, name) for name in QUICK)
    return dict(zip(QUICK, found, strict=True))


@pytest.mark.parametrize("name", QUICK)
def test_a_bomb_is_read_or_refused_in_words(outcomes, name):
    outcome, says = outcomes[name], BOMBS[name][1]

    if says == READ:
        assert outcome["layout"] == "read"
    else:
        assert outcome["layout"].startswith("refused: ")
        assert outcome["layout"].endswith(".")
        assert says in outcome["layout"]
    assert outcome["picture"].startswith(("read", "refused: "))
    assert outcome["peak"] < MEBIBYTES
