"""Thousands of spoilt files of every accepted kind, and the bombs, read as a worker reads them; prints tables.

    python -m tests.hostile.fuzz [--files 5000] [--seed 1] [--bombs]

Exit status 1 where a file ended in anything but pixels, a sentence or a limit, or killed its reader; it is then kept.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from tests.hostile.bombs import BOMBS, write_bomb
from tests.hostile.reading import MEBIBYTES, read_all
from tests.hostile.spoiling import sound, spoilt


def main() -> int:
    parser = argparse.ArgumentParser()
    parser.add_argument("--files", type=int, default=5000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--bombs", action="store_true", help="read the bombs instead, each in a process of its own")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        return bombs(Path(folder)) if asked.bombs else fuzz(Path(folder), asked.files, asked.seed)


def fuzz(folder: Path, files: int, seed: int) -> int:
    kinds, ends, says, wrong, peak = Counter(), Counter(), Counter(), [], 0
    for outcome in read_all(spoilt_files(folder, files, seed)):
        path = Path(outcome["path"])
        kind = path.name.partition("-")[2]
        peak = max(peak, outcome["peak"])
        kinds[kind] += 1
        for use in ("layout", "picture"):
            what, _, sentence = outcome[use].partition(": ")
            ends[kind, what] += 1
            says[sentence_kind(sentence)] += what == "refused"
            if what == "error":
                wrong.append(f"{path.name} as {use}: {sentence}")
                Path(f"/tmp/spoilt-{path.name}").write_bytes(path.read_bytes())
        path.unlink()
    print(f"{'kind':18}{'files':>7}{'read':>7}{'refused':>9}{'limit':>7}{'other':>7}   (each as layout and as picture)")
    for kind, count in sorted(kinds.items()):
        print(f"{kind:18}{count:7}" + "".join(
            f"{ends[kind, what]:{wide}}" for what, wide in (("read", 7), ("refused", 9), ("limit", 7), ("error", 7))
        ))  # fmt: skip
    print(f"\n{'times':>7}  sentence")
    for sentence, count in says.most_common():
        if count:
            print(f"{count:7}  {sentence}")
    print(f"\nmost memory {peak} MiB of {MEBIBYTES} MiB; neither pixels nor a sentence: {len(wrong)}")
    print("\n".join(wrong))
    return bool(wrong)


def spoilt_files(folder: Path, files: int, seed: int) -> Iterator[Path]:
    made, rng = sound(folder), random.Random(seed)
    names = sorted(made)
    for number in range(files):
        name = names[number % len(names)]
        path = folder / f"{number}-{name}"
        path.write_bytes(spoilt(made[name], made[rng.choice(names)], rng))
        yield path


def sentence_kind(sentence: str) -> str:
    """A sentence without its numbers."""
    return " ".join("N" if any(letter.isdigit() for letter in word) else word for word in sentence.split())[:110]


def bombs(folder: Path) -> int:
    wrong = 0
    print(f"{'file':48}{'bytes':>12}{'cpu s':>8}{'MiB':>6}  what comes of it as a layout")
    for name in BOMBS:
        path = write_bomb(folder, name)
        (outcome,) = read_all([path])
        wrong += outcome["layout"].startswith("error") or outcome["picture"].startswith("error")
        line = f"{name:48}{path.stat().st_size:12}{outcome['seconds']:8}{outcome['peak']:6}  {outcome['layout'][:90]}"
        print(line, flush=True)
        path.unlink()
    return bool(wrong)


if __name__ == "__main__":
    sys.exit(main())
