"""The stages of capture on scenes whose truth is known: how right, how long, how much memory.

    python benchmarks/bench_capture.py [STAGE ...] [--scenes NAME ...]

One function a stage, which prints a line a scene. `squaring`: the map's error over the face (the
distance between a place of the face and where the solved view says that the true camera saw it),
what was expected of it, processor seconds as a ratio to the floor of the same run (one cubic spline
through the photo), and the peak of memory.
"""

import argparse
import resource
import sys
import time
from pathlib import Path

import numpy as np
import shapely
from scipy import ndimage

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from mateline.capture.picture import Picture, decoded
from mateline.capture.squaring.flat import laid_flat
from mateline.capture.squaring.outline import outline_of
from mateline.capture.squaring.square import grid_for, sight, told
from mateline.capture.squaring.view import places_of
from scenes.cases import CASES, scene

TABLE = decoded(np.arange(256, dtype=np.float32) / np.float32(255))


def map_errors(view, made, across=25):
    """Distances, mm, over a grid inside the outline, of what the picture shows."""
    left, low, right, up = made.design.outline.bounds
    x, y = np.meshgrid(np.linspace(left, right, across), np.linspace(low, up, 2 * across))
    places = np.column_stack([x.ravel(), y.ravel()])
    places = places[shapely.contains_xy(made.design.outline, places[:, 0], places[:, 1])]
    seen = made.camera.pixels(places)
    shown = ((seen >= 0) & (seen < np.array(made.camera.size))).all(axis=1)
    return np.hypot(*(places_of(view, seen[shown] - 0.5) - places[shown]).T)


def through_all(light):
    """The cubic spline through every pixel: the floor."""
    for band in range(3):
        ndimage.spline_filter(light[..., band], order=3, output=np.float32, mode="mirror")


def squaring(name, made):
    picture = Picture(name, TABLE[made.picture])
    start = time.process_time()
    through_all(picture.light)
    floor = time.process_time() - start
    outline = outline_of("side", made.design.corners)
    start = time.process_time()
    sighted = sight(picture, outline)
    solved = time.process_time()
    grid = grid_for(sighted, None)
    laid_flat(sighted.picture, sighted.solved, outline, grid)
    flat = time.process_time()
    off = map_errors(sighted.solved.view, made)
    report = told(sighted, grid)
    rms = float(np.sqrt((off**2).mean()))
    why = "; ".join(f"{each.edge} {each.why}" for each in report.edges if each.why)
    print(
        f"{name:18} rms {rms:.4f} worst {off.max():.4f}  expected {report.expected.rms:.4f}"
        f" {report.expected.worst:.4f}  true/expected {rms / report.expected.rms:.2f}"
        f"  solved {(solved - start) / floor:.1f} flat {(flat - solved) / floor:.1f} times the"
        f" floor of {floor:.1f} s  {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6:.2f}"
        f" GB  {why}",
        flush=True,
    )


STAGES = {"squaring": squaring}


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("stages", nargs="*", metavar="STAGE", help=", ".join(STAGES))
    parser.add_argument("--scenes", nargs="*", default=list(CASES))
    asked = parser.parse_args()
    unknown = [each for each in asked.stages if each not in STAGES]
    if unknown:
        parser.error(f"no stage {unknown[0]}; there are {', '.join(STAGES)}")
    for name in asked.scenes:
        made = scene(name)
        for stage in asked.stages or STAGES:
            STAGES[stage](name, made)


if __name__ == "__main__":
    main()
