"""Many drawings made into patterns, written, read back and judged: the table of all faults.

Random drawings by their seeds, or the drawings of folders:

    PYTHONPATH=model:tests python tests/corpus/judge_patterns.py --random 2000 [--first 0]
    PYTHONPATH=model:tests python tests/corpus/judge_patterns.py FOLDER ... [--every 20]

`--show` names each drawing that has a fault and what it is; `--keep DIR` writes the drawings
and what became of them there. One process for each core, or `--cores`.
"""

import argparse
import collections
import multiprocessing
import tempfile
import time
import traceback
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from corpus.drawing_compare import shown_alike
from corpus.random_drawings import drawing
from mateline.errors import InputError
from mateline.exports.picture.pattern_svg import pattern_svg
from mateline.one_drawing import pattern_report
from pattern_judging import judged

TOLERANCE = 0.02  # mm


@dataclass(frozen=True)
class Outcome:
    """How one drawing came out: refused, an exception, or what was judged."""

    name: str
    faults: dict = field(default_factory=dict)
    segments: int = 0
    arcs: int = 0
    making: float = 0.0
    judging: float = 0.0
    where: tuple = ()
    alike: float = 1.0  # share of the flat pixels
    gradients: int = 0


def outcome(path, name, keep=None):
    start = time.process_time()
    try:
        report = pattern_report(path, tolerance=TOLERANCE)
    except InputError as wrong:
        return Outcome(name, {"refused": str(wrong)})
    except Exception:  # noqa: BLE001  # what is counted here
        return Outcome(name, {"exception": traceback.format_exc().splitlines()[-1]})
    made = time.process_time()
    try:
        found = judged(report, TOLERANCE)
    except Exception:  # noqa: BLE001
        return Outcome(name, {"exception while written or judged": traceback.format_exc()})
    done = time.process_time()
    text = pattern_svg(report)
    if keep and found.faults:
        Path(keep).mkdir(parents=True, exist_ok=True)
        (Path(keep) / f"{name}.svg").write_text(path.read_text(encoding="utf-8"), encoding="utf-8")
        (Path(keep) / f"{name}-out.svg").write_text(text, encoding="utf-8")
    return Outcome(
        name, found.faults, found.segments, found.arcs, made - start, done - made, found.where,
        shown_alike(path, text), sum("gradient" in note.message for note in report.notes()),
    )  # fmt: skip


def random_outcome(seed, keep=None):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "drawing.svg"
        path.write_text(drawing(seed), encoding="utf-8")
        return outcome(path, f"random-{seed}", keep)


def table(outcomes):
    count = collections.Counter(kind for one in outcomes for kind in one.faults)
    lines = [f"{len(outcomes)} drawings; {sum(not one.faults for one in outcomes)} without a fault"]
    lines += [f"  {kind:<34}{number:>7}" for kind, number in sorted(count.items())]
    shares = [one.alike for one in outcomes if one.segments and not one.gradients]
    if shares:
        least = min(outcomes, key=lambda one: (one.alike if not one.gradients else 2, one.name))
        lines.append(
            f"  shown as the drawing in its flat pixels, gradients left aside: median "
            f"{np.median(shares):.4%}, worst {min(shares):.4%} ({least.name})"
        )
    segments, arcs = (sum(getattr(one, name) for one in outcomes) for name in ("segments", "arcs"))
    making, judging = (sum(getattr(o, name) for o in outcomes) for name in ("making", "judging"))
    lines.append(
        f"  {segments} segments, {arcs} of them arcs; {making:.0f} s made, {judging:.0f} s judged"
    )
    return "\n".join(lines)


def _task(job):
    kind, what, keep = job
    return random_outcome(what, keep) if kind == "random" else outcome(what, what.stem, keep)


def main():
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    words.add_argument("folders", nargs="*", type=Path)
    words.add_argument("--random", type=int, default=0)
    words.add_argument("--first", type=int, default=0)
    words.add_argument("--every", type=int, default=1)
    words.add_argument("--cores", type=int, default=multiprocessing.cpu_count())
    words.add_argument("--show", action="store_true")
    words.add_argument("--keep")
    said = words.parse_args()
    sets = {str(f): [("file", p, said.keep) for p in sorted(f.glob("*.svg"))[:: said.every]]
            for f in said.folders}  # fmt: skip
    if said.random:
        seeds = range(said.first, said.first + said.random)
        sets[f"random {seeds}"] = [("random", seed, said.keep) for seed in seeds]
    with multiprocessing.Pool(said.cores) as pool:
        for name, jobs in sets.items():
            outcomes = pool.map(_task, jobs, chunksize=4)
            if said.show:
                for one in outcomes:
                    if one.faults or one.alike < 0.998:
                        print(one.name, one.faults, one.where[:3], f"{one.alike:.4%}")  # noqa: T201
            print(name)  # noqa: T201
            print(table(outcomes), flush=True)  # noqa: T201


if __name__ == "__main__":
    main()
