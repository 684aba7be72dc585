"""Protects against spoilt files: whatever the bytes, there are pixels or a sentence, and the reader lives."""

from tests.hostile.fuzz import spoilt_files
from tests.hostile.reading import read_all

FILES = 216  # twelve of each kind; `python -m tests.hostile.fuzz` reads thousands
MEBIBYTES = 300


def test_spoilt_files_are_read_or_refused(tmp_path):
    outcomes = list(read_all(spoilt_files(tmp_path, FILES, seed=7)))

    ends = {outcome[use].partition(": ")[0] for outcome in outcomes for use in ("layout", "picture")}
    refusals = [outcome["layout"] for outcome in outcomes if outcome["layout"].startswith("refused")]
    assert len(outcomes) == FILES
    assert ends == {"read", "refused"}
    assert all(says.endswith(".") for says in refusals)
    assert max(outcome["peak"] for outcome in outcomes) < MEBIBYTES
