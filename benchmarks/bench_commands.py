"""What `check` and `build` cost beside importing the libraries that they stand on.

    python benchmarks/bench_commands.py

Medians of whole processes, this machine, this run; commands and floors take turns, so that a busy
machine slows all alike. Aims: check harbour-lights at most 2.2 times the floor of flat work, build
at most 2 times the import of cadquery, quilt's check per piece and those of the
two measured cabinets per face no more than that of harbour-lights.

Byte code is kept, as where the tool is installed: the libraries' is always there, and compiling
all of ours anew costs a quarter of the floor. The first round makes it and is not counted.
"""

import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

RUNS = 9
CABINETS = Path(__file__).parents[1] / "cabinets"
COMMAND = ("-c", "import sys; from mateline.cli import main; sys.exit(main())")


def timed(*arguments):
    """Seconds of a whole process, and what it printed."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, *arguments], capture_output=True, text=True, check=False, env=kept
    )
    took = time.perf_counter() - start
    if done.returncode not in {0, 1}:
        sys.exit(done.stderr)
    return took, done.stdout


def pieces(answer):
    return sum(len(face["pieces"]) for face in json.loads(answer)["faces"])


def main():
    with tempfile.TemporaryDirectory() as folder:
        lights, quilt, *measured = (
            str(CABINETS / name)
            for name in ("harbour-lights", "quilt", "eight-winds", "night-ferry")
        )
        calls = {
            "import numpy, scipy.optimize, shapely": (
                "-c", "import numpy, scipy.optimize, shapely"
            ),
            "check harbour-lights": (*COMMAND, "check", lights, "--json"),
            "check quilt": (*COMMAND, "check", quilt, "--json"),
            **{
                f"check {Path(each).name}": (*COMMAND, "check", each, "--json")
                for each in measured
            },
            "import cadquery": ("-c", "import cadquery"),
            "build harbour-lights": (*COMMAND, "build", lights, "--out", str(Path(folder) / "out")),
        }  # fmt: skip
        took, said = {name: [] for name in calls}, {}
        for _ in range(1 + RUNS):
            for name, arguments in calls.items():
                seconds, said[name] = timed(*arguments)
                took[name].append(seconds)
    middle = {name: median(each[1:]) for name, each in took.items()}
    floor, check, quilted, table, upright, kernel, build = middle
    for name in (floor, kernel):
        print(f"{name:40} {middle[name]:7.3f} s")
    for name, beside, aim in ((check, floor, 2.2), (quilted, floor, "-"), (build, kernel, 2)):
        print(f"{name:40} {middle[name]:7.3f} s   {middle[name] / middle[beside]:5.2f} x {beside} "
              f"(aim {aim})")  # fmt: skip
    each, every = (middle[name] / pieces(said[name]) for name in (check, quilted))
    print(f"{'quilt, per piece':40} {every * 1e3:7.3f} ms  {every / each:5.2f} x harbour-lights "
          "(aim 1)")  # fmt: skip
    for name in (table, upright):
        each, every = (middle[at] / len(json.loads(said[at])["faces"]) for at in (check, name))
        print(f"{name + ', per face':40} {every * 1e3:7.3f} ms  {every / each:5.2f} x "
              "harbour-lights (aim 1)")  # fmt: skip


if __name__ == "__main__":
    main()
