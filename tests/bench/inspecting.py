"""How right the inspection of layouts is, kind by kind, on drawn files whose truth is known; and what it costs.

    .venv/bin/python -m tests.bench.inspecting                   600 files and 500 good ones of the first manner
    .venv/bin/python -m tests.bench.inspecting --seed 2 --manner second
    .venv/bin/python -m tests.bench.inspecting --kinds "keyline only;PDF" --each 50 --worst
    .venv/bin/python -m tests.bench.inspecting --cost            analysis beside decoding, 12192 x 3048 px

Asserts nothing; tests/layouts/imaging/test_inspect_made.py holds the targets on a part of the same files.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from tests.layouts.imaging.making import kinds, manners
from tests.layouts.imaging.making.judging import Judged, Tally, judge
from tests.layouts.imaging.making.made import Manner

MANNERS = {"first": manners.FIRST, "second": manners.SECOND}
_HEAD = ("kind", "files", "exact", "worst px", "zones", "of", "extra", "lines", "missed", "false", "look",
         "sure if right", "if wrong", "wrong+sure")  # fmt: skip


def judged(kind: str, seeds: range, manner: Manner) -> Iterator[Judged]:
    with tempfile.TemporaryDirectory() as folder:
        for seed in seeds:
            made = kinds.make(kind, seed, Path(folder), manner)
            yield judge(made)
            for file in Path(folder).iterdir():
                file.unlink()


def table(names: list[str], each: int, first: int, manner: Manner, *, worst: bool) -> Tally:
    print(("{:<28}" + "{:>9}" * 10 + "{:>14}" + "{:>9}" + "{:>11}").format(*_HEAD))
    whole = Tally()
    for name in names:
        own = Tally()
        count = max(2, each // 8) if name in kinds.LARGE else each
        for one in judged(name, range(first, first + count), manner):
            own.take(one)
            whole.take(one)
            if worst and one.complaint:
                print(f"    {one.seed}: {one.complaint}", file=sys.stderr)
        _row(name, own)
    _row("all", whole)
    return whole


def _row(name: str, tally: Tally) -> None:
    cells = (
        tally.files, f"{tally.exact}/{tally.sharp}", f"{tally.worst:.1f}", f"{tally.zones_right}", tally.zones,
        tally.extra, f"{tally.lines_right}/{tally.lines}", tally.missed, tally.false_must, tally.false_look,
        _mean(tally.sure_right), _mean(tally.sure_wrong), tally.wrong_and_sure,
    )  # fmt: skip
    print(("{:<28}" + "{:>9}" * 10 + "{:>14}" + "{:>9}" + "{:>11}").format(name, *cells), flush=True)


def _mean(values: list[float]) -> str:
    return f"{sum(values) / len(values):.2f}" if values else "-"


def cost(runs: int = 5) -> None:
    """CPU seconds of decoding alone, and of the counting and inspecting that come on top, in one run."""
    from layouts.imaging.decoding.decode import open_strips
    from layouts.imaging.decoding.prepare import Prepared, prepare_layout
    from layouts.imaging.decoding.reading import reduce_strips
    from layouts.imaging.inspecting.inspect import inspect_layout

    with tempfile.TemporaryDirectory() as folder:
        for kind in kinds.LARGE:
            made = kinds.make(kind, 1, Path(folder), manners.FIRST)
            rows: dict[str, list[float]] = {
                "decoding": [],
                "decoded and reduced": [],
                "and counted": [],
                "inspecting": [],
            }
            for _ in range(runs):
                begun = time.process_time()
                for _strip in open_strips(made.path).rows:
                    pass
                rows["decoding"].append(time.process_time() - begun)
                begun = time.process_time()
                reduce_strips(open_strips(made.path), 3072)
                rows["decoded and reduced"].append(time.process_time() - begun)
                begun = time.process_time()
                ready: Prepared = prepare_layout(made.path)
                rows["and counted"].append(time.process_time() - begun)
                begun = time.process_time()
                inspect_layout(ready, aspect=made.order.get("aspect"), sha256="-")
                rows["inspecting"].append(time.process_time() - begun)
            print(f"{kind}, {ready.facts.width} x {ready.facts.height} px, CPU s, least of {runs}")
            least = {name: min(values) for name, values in rows.items()}
            for name, value in least.items():
                print(f"  {name:<22}{value:>8.3f}")
            analysis = least["and counted"] - least["decoded and reduced"] + least["inspecting"]
            print(f"  {'analysis / decoding':<22}{analysis / least['decoding']:>8.2f}", flush=True)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--manner", choices=MANNERS, default="first")
    parser.add_argument("--each", type=int, default=0, help="files of each kind; 0: 600 in all, and 500 good ones")
    parser.add_argument("--kinds", default="", help="names, with semicolons between")
    parser.add_argument("--worst", action="store_true", help="say what is wrong with each file")
    parser.add_argument("--cost", action="store_true")
    chosen = parser.parse_args()
    if chosen.cost:
        cost()
        return
    manner, first = MANNERS[chosen.manner], chosen.seed * 10_000
    if chosen.kinds or chosen.each:
        names = [name.strip() for name in chosen.kinds.split(";") if name.strip()] or list(kinds.KINDS)
        table(names, chosen.each or 20, first, manner, worst=chosen.worst)
        return
    begun = time.perf_counter()
    print("Every kind")
    table(list(kinds.KINDS), 14, first, manner, worst=chosen.worst)
    print("\nGood files: none of them may have a must-fix")
    table(list(kinds.GOOD), 18, first + 5_000, manner, worst=chosen.worst)
    print(f"{time.perf_counter() - begun:.0f} s")


if __name__ == "__main__":
    main()
