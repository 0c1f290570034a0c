"""The stages of capture on scenes whose truth is known: how right, how long, how much memory.

    python benchmarks/bench_capture.py [STAGE ...] [--scenes NAME ...]

One function a stage, which prints a line a scene of twelve megapixels; times are those of the
processor, as ratios to the floor of the same run (one cubic spline through the photo). `squaring`:
the map's error over the face (the distance between a place of the face and where the solved view
says that the true camera saw it) and what was expected of it. `labelling`: shares of pixels whose
paint is right. `tracing`: borders against the true ones. `road`: the command itself, from a JPEG to
the drawing, as a process of its own, with its clock and its peak of memory. `sides`: two sides that
a brush painted, each worn in its own places, joined.
"""

import argparse
import resource
import subprocess
import sys
import tempfile
import time
from functools import cache
from pathlib import Path

import numpy as np
from scipy import ndimage

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from mateline.capture.both_sides.joint import joined
from mateline.capture.labelling.labelled import labelled
from mateline.capture.squaring.flat import laid_flat
from mateline.capture.squaring.outline import outline_of
from mateline.capture.squaring.square import grid_for, sight, told
from mateline.capture.tracing.trace import fit
from scenes.cases import CASES, scene
from scenes.design import design
from scenes.judging import judged, labels_right, true_segments
from scenes.pair import off_the_brush, pair_of_sides
from squaring_errors import map_errors
from squaring_errors import picture_of as pictured

#  the command, which says in the end what it used: of a process that was forked from this one the
#  system counts this one's memory too
CHILD = """
import sys, time
from mateline.cli import main
try:
    code = main()
except SystemExit as ended:
    code = ended.code
peak = next(line.split()[1] for line in open("/proc/self/status") if line.startswith("VmHWM"))
print(time.process_time(), peak, file=sys.stderr)
sys.exit(code)
"""
PAIRS = (1, 3, 4, 5)  # seeds of sides
DEFINITION = """title = "Bench"
[tape]
unit = "mm"
graduation = 1
accuracy = "II"
[palette]
base = "{base}"
[palette.colours]
{colours}
[[carcase]]
name = "body"
view = "side"
corners = [{corners}]
width = 500
board = 15
[carcase.outline]
points = {{ {points} }}
[carcase.panels]
{panels}
[[photo]]
file = "photo.jpg"
on = "body-right"
[[art]]
drawing = "traced.svg"
on = "body-right"
"""


@cache
def floor(name):
    """Processor seconds of the cubic spline through every pixel of a scene."""
    light = picture_of(name).light
    start = time.process_time()
    for band in range(3):
        ndimage.spline_filter(light[..., band], order=3, output=np.float32, mode="mirror")
    return time.process_time() - start


@cache
def picture_of(name):
    return pictured(made_of(name), name)


@cache
def made_of(name):
    return scene(name)


@cache
def sighted_of(name):
    """A scene's view, its flat face and the times both took."""
    outline = outline_of("side", made_of(name).design.corners)
    start = time.process_time()
    sighted = sight(picture_of(name), outline)
    solved = time.process_time()
    grid = grid_for(sighted, None)
    face = laid_flat(sighted.picture, sighted.solved, outline, grid)
    return sighted, grid, face, (solved - start, time.process_time() - solved)


@cache
def labels_of(name):
    _, _, face, _ = sighted_of(name)
    start = time.process_time()
    found = labelled(face, tuple(made_of(name).design.palette.items()))
    return found, time.process_time() - start


def squaring(name):
    sighted, grid, _, (solved, flat) = sighted_of(name)
    off = map_errors(sighted.solved.view, made_of(name))
    report = told(sighted, grid)
    rms = float(np.sqrt((off**2).mean()))
    why = "; ".join(f"{each.edge} {each.why}" for each in report.edges if each.why)
    say(
        name, f"rms {rms:.4f} worst {off.max():.4f}  expected {report.expected.rms:.4f}"
        f" {report.expected.worst:.4f}  true/expected {rms / report.expected.rms:.2f}"
        f"  solved {times(solved, name)} flat {times(flat, name)}  {why}",
    )  # fmt: skip


def labelling(name):
    found, took = labels_of(name)
    right = labels_right(found, made_of(name).design, made_of(name).wear)
    shares = " ".join(f"{each} {share:.4f}" for each, share in right.items())
    say(name, f"right of {shares}  {times(took, name)}")


def tracing(name):
    made, (labels, _), (_, _, face, _) = made_of(name), labels_of(name), sighted_of(name)
    start = time.process_time()
    traced = fit(labels, face, [tuple(corner) for corner in made.design.corners]).traced
    took = time.process_time() - start
    found = judged(traced, made.design, made.wear)
    say(
        name, f"rms {found.rms:.4f} worst {found.worst:.2f} missed {found.missed:.4f}"
        f"  segments {found.segments / true_segments(made.design):.2f}  {times(took, name)}",
    )  # fmt: skip


def road(name):
    made = made_of(name)
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "photo.jpg").write_bytes(made.jpeg)
        (Path(folder) / "cabinet.toml").write_text(definition(made.design), encoding="utf-8")
        command = [sys.executable, "-c", CHILD, "trace", folder, "body-right", "--json"]
        start = time.monotonic()
        ran = subprocess.run(command, capture_output=True, text=True, check=False)
        clock = time.monotonic() - start
    *messages, used = ran.stderr.splitlines()
    if ran.returncode > 1:
        say(name, f"refused: {messages[-1]}")
        return
    processor, peak = (float(each) for each in used.split())
    say(
        name, f"clock {times(clock, name)} processor {times(processor, name)}"
        f"  peak {peak / 1e6:.2f} GB  answer of {len(ran.stdout)} bytes",
    )  # fmt: skip


def definition(made):
    names = "ABCDEFGHIJKL"[: len(made.corners)]
    after = names[1:] + names[0]
    return DEFINITION.format(
        base=made.base,
        colours="\n".join(
            f'{name} = {{ paint = "{made.palette[name]}", letter = "{chr(65 + at)}" }}'
            for at, name in enumerate(made.colours)
        ),
        corners=", ".join(f'"{name}"' for name in names),
        points=", ".join(
            f"{name} = [{x!r}, {y!r}]"
            for name, (x, y) in zip(names, made.corners.tolist(), strict=True)
        ),
        panels="\n".join(
            f'p{at} = {{ edge = "{one}-{other}" }}'
            for at, (one, other) in enumerate(zip(names, after, strict=True))
        ),
    )


def sides(seed):
    face = design(seed, 300, 400)
    brushed, pair = pair_of_sides(face, seed, (1200, 1500), 0.4)
    start = time.process_time()
    both = joined(pair[0][2], pair[1][2])
    took = time.process_time() - start
    off = off_the_brush(both.registered.warp, brushed, face)
    for name, (each, wear, (_, alone)), (_, got) in zip(
        ("left", "right"), pair, (both.left, both.right), strict=True
    ):
        before, after = labels_right(alone, each, wear), labels_right(got, each, wear)
        say(
            f"pair {seed}, {name}", f"borders {np.sqrt((off**2).mean()):.3f}  right of all"
            f" {before['all']:.4f} -> {after['all']:.4f}, of the damaged {before['damaged']:.4f} ->"
            f" {after['damaged']:.4f}  {took:.1f} s",
        )  # fmt: skip


def times(seconds, name):
    """Seconds as a multiple of the floor."""
    return f"{seconds / floor(name):.1f}x"


def say(name, what):
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    print(f"{name:18} {what}  [{peak:.2f} GB here]", flush=True)


STAGES = {"squaring": squaring, "labelling": labelling, "tracing": tracing, "road": road}


def main():
    parser = argparse.ArgumentParser()
    names = [*STAGES, "sides"]
    parser.add_argument("stages", nargs="*", metavar="STAGE", help=", ".join(names))
    parser.add_argument("--scenes", nargs="*", default=list(CASES))
    asked = parser.parse_args()
    stages = asked.stages or names
    unknown = [each for each in stages if each not in names]
    if unknown:
        parser.error(f"no stage {unknown[0]}; there are {', '.join(names)}")
    for name in asked.scenes if set(stages) & set(STAGES) else ():
        for stage in stages:
            if stage in STAGES:
                STAGES[stage](name)
        print(f"{name:18} floor {floor(name):.2f} s of the processor", flush=True)
        for kept in (labels_of, sighted_of, picture_of, made_of):
            kept.cache_clear()
    for seed in PAIRS if "sides" in stages else ():
        sides(seed)


if __name__ == "__main__":
    main()
