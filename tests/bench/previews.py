"""What previews cost: `python -m tests.bench.previews [--rounds N] [--cases jpeg-100 jpeg-24 tiff-24 …]`.

Each piece of work runs in a process of its own, with its libraries loaded, all of them in turn, several rounds: so
whatever else the machine does meets them alike. The floor is decoding both files at the cheapest adequate scale and
encoding the result, each by the library that did it best in this run. Ratios are of CPU seconds on all cores (and, in
brackets, of time); MiB is the most memory that was held.
"""

from __future__ import annotations

import argparse
import importlib
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path

from tests.bench import ways

LAYOUT = (12_192, 3048)
CASES = {
    "jpeg-100": ((11_648, 8736), "jpg"),
    "jpeg-24": ((6000, 4000), "jpg"),
    "tiff-24": ((6000, 4000), "tif"),
}
OURS = {
    "ours, from bare files": ways.ours_from_files,
    "ours, from a prepared layout": ways.ours_prepared,
    "ours, twelve of this format in one batch": ways.ours_twelve,
    "ours, six shapes in two languages, a batch": ways.ours_mixed,
    "ours, the same one by one": ways.ours_mixed_singly,
    "libvips": ways.libvips,
    "plain, composited at full size": ways.plain,
    "plain, decoded whole and reduced": ways.plain_small,
}
LAYOUT_ALONE = {
    "decode (strips)": ways.ours_decode,
    "prepare: decode, reduce, write": ways.ours_prepare,
    "inspect: decode, reduce, look": ways.ours_inspect,
}


@dataclass
class Runs:
    """What several runs of one piece of work took."""

    seconds: list[float] = field(default_factory=list)
    cpu: list[float] = field(default_factory=list)
    mib: float = 0

    def add(self, seconds: float, cpu: float, mib: float) -> None:
        self.seconds.append(seconds)
        self.cpu.append(cpu)
        self.mib = max(self.mib, mib)

    def line(self, name: str, floor: Runs | None = None) -> str:
        seconds, cpu = self.seconds, self.cpu
        text = f"{name:44} {min(seconds):6.2f} {statistics.median(seconds):6.2f} {min(cpu):7.2f} "
        text += f"{statistics.median(cpu):6.2f} {self.mib:6.0f}"
        return text + (f"   {self.ratio(floor):5.2f} ({self.ratio(floor, 'seconds'):.2f})" if floor else "")

    def ratio(self, other: Runs, what: str = "cpu") -> float:
        """Median of the ratios of the same round."""
        pairs = zip(getattr(self, what), getattr(other, what), strict=True)
        return statistics.median(one / another for one, another in pairs)


HEAD = f"{'':44} {'s min':>6} {'median':>6} {'cpu min':>7} {'median':>6} {'MiB':>6}   of the floor"


def timed(way: str, folder: Path) -> tuple[float, float, float]:
    """Run one piece of work in a process of its own: seconds, CPU seconds, MiB."""
    command = [sys.executable, "-m", "tests.bench.previews", "--child", way, str(folder)]
    told = subprocess.run(command, capture_output=True, check=True, text=True).stdout
    seconds, cpu, mib = json.loads(told)
    return seconds, cpu, mib


def child(way: str, folder: str) -> None:
    for library in ("numpy", ways.needs(way)):
        importlib.import_module(library)
    work = getattr(ways, way)
    begun, cpu = time.perf_counter(), time.process_time()
    work(Path(folder))
    cost = (time.perf_counter() - begun, time.process_time() - cpu)
    peak = next(line.split()[1] for line in Path("/proc/self/status").read_text().splitlines() if "VmHWM" in line)
    print(json.dumps([*cost, int(peak) / 1024]))


def in_turn(steps: dict[str, object], folder: Path, rounds: int) -> dict[str, Runs]:
    runs = {name: Runs() for name in steps}
    for _ in range(rounds):
        for name, step in steps.items():
            runs[name].add(*timed(step.__name__, folder))
    return runs


def floor_of(runs: dict[str, Runs]) -> tuple[Runs, str]:
    """The cheapest library for each part, added up round by round."""
    best = {}
    for part in ways.PARTS:
        of_part = {name: run for name, run in runs.items() if name.startswith(part)}
        best[part] = min(of_part, key=lambda name, of=of_part: statistics.median(of[name].cpu))
    total = Runs()
    for at in range(len(next(iter(runs.values())).cpu)):
        chosen = [runs[name] for name in best.values()]
        total.add(
            sum(run.seconds[at] for run in chosen), sum(run.cpu[at] for run in chosen), max(r.mib for r in chosen)
        )
    return total, "; ".join(best.values())


def case_table(case: str, folder: Path, rounds: int) -> None:
    size, ending = CASES[case]
    from tests.bench import subjects

    picture = folder / f"picture.{ending}"
    for old in folder.glob("picture.*"):
        old.unlink()
    subjects.picture(picture, size)
    subjects.result(folder)
    weighs = picture.stat().st_size / 2**20
    print(f"\n{case}: {size[0]} x {size[1]} px, {weighs:.0f} MiB, under the layout, {ways.WIDTH} px wide")
    print(HEAD)
    steps = {f"{part}, {name}": way for part, some in ways.PARTS.items() for name, way in some.items()}
    runs = in_turn(steps | OURS, folder, rounds)
    floor, made_of = floor_of({name: runs[name] for name in steps})
    for name in steps:
        print(runs[name].line(name))
    print(floor.line("THE FLOOR", floor) + f"   {made_of}")
    for name in OURS:
        print(runs[name].line(name, floor))
    verdicts(runs, floor)


def verdicts(runs: dict[str, Runs], floor: Runs) -> None:
    bare, ready = runs["ours, from bare files"], runs["ours, from a prepared layout"]
    twelve = runs["ours, twelve of this format in one batch"]
    mixed, singly = runs["ours, six shapes in two languages, a batch"], runs["ours, the same one by one"]
    vips = runs["libvips"]
    plain = runs["plain, composited at full size"]
    for text, found, limit in (
        ("bare files / floor", bare.ratio(floor), 1.5),
        ("bare files / libvips", bare.ratio(vips), 1),
        ("bare files / plain", bare.ratio(plain), 1 / 3),
        ("bare files, MiB", bare.mib, 300),
        ("prepared / floor", ready.ratio(floor), 1),
        ("prepared, MiB", ready.mib, 150),
        ("twelve / one", twelve.ratio(ready), 4),
        ("mixed twelve / mean one", 12 * mixed.ratio(singly), 4),
    ):
        print(f"  {text:24} {found:8.2f}   asked for: at most {limit:.3g}   {'met' if found <= limit else 'NOT MET'}")


def layout_table(folder: Path, rounds: int, size: tuple[int, int]) -> None:
    print(f"\nthe layout alone, {size[0]} x {size[1]} px")
    print(HEAD.replace("of the floor", "of decoding"))
    runs = in_turn(LAYOUT_ALONE, folder, rounds)
    decoding = runs["decode (strips)"]
    for name, run in runs.items():
        print(run.line(name, decoding))
    print(f"  analysis / decoding {runs['inspect: decode, reduce, look'].ratio(decoding) - 1:13.2f}   at most 1")


def main() -> None:
    from tests.bench import subjects

    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--cases", nargs="*", default=list(CASES), choices=CASES)
    parser.add_argument("--huge", action="store_true", help="also a layout of 20000 x 10000")
    asked = parser.parse_args()
    print(f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}, Python {sys.version.split()[0]}")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for size in [LAYOUT] + [(20_000, 10_000)] * asked.huge:
            subjects.layout(folder / "layout.png", size)
            subjects.placements(folder)
            layout_table(folder, asked.rounds, size)
            for case in asked.cases if size == LAYOUT else asked.cases[:1]:
                case_table(case, folder, asked.rounds)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--child"]:
        child(*sys.argv[2:4])
    else:
        main()
