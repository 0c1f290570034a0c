"""What `check` and `build` cost beside importing the libraries that they stand on.

    python benchmarks/bench_commands.py

Medians of five runs of whole processes, this machine, this run. Aims: check harbour-lights at
most 3 times the floor of flat work, build at most 4 times the import of the kernel, and quilt's
check per piece no more than that of harbour-lights.

Byte code is kept, as where the tool is installed: the libraries' is always there, and compiling
all of ours anew costs a quarter of the floor. The first run of each makes it and is not counted.
"""

import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

RUNS = 5
ROOT = Path(__file__).parents[1]
CABINETS = ROOT / "cabinets"


def timed(*arguments):
    """Seconds of a whole process, and what it printed last."""
    took, out = [], ""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    for _ in range(1 + RUNS):
        start = time.perf_counter()
        done = subprocess.run(
            [sys.executable, *arguments], capture_output=True, text=True, check=False, env=kept
        )
        took.append(time.perf_counter() - start)
        if done.returncode not in {0, 1}:
            sys.exit(done.stderr)
        out = done.stdout
    return median(took[1:]), out


def command(*arguments):
    return timed("-c", "import sys; from mateline.cli import main; sys.exit(main())", *arguments)


def pieces(answer):
    return sum(len(face["pieces"]) for face in json.loads(answer)["faces"])


def row(name, seconds, floor, floor_name, aim):
    print(f"{name:34} {seconds:7.3f} s   {seconds / floor:5.2f} x {floor_name:8} (aim {aim})")


def main():
    flat, _ = timed("-c", "import numpy, scipy.optimize, shapely")
    kernel, _ = timed("-c", "import cadquery")
    print(f"{'import numpy, scipy.optimize, shapely':34} {flat:7.3f} s   = flat")
    print(f"{'import cadquery':34} {kernel:7.3f} s   = kernel")

    lights, answer = command("check", str(CABINETS / "harbour-lights"), "--json")
    row("check harbour-lights", lights, flat, "flat", 3)
    each = lights / pieces(answer)

    quilt, answer = command("check", str(CABINETS / "quilt"), "--json")
    row("check quilt", quilt, flat, "flat", "-")
    print(
        f"{'per piece':34} {quilt / pieces(answer) * 1e3:7.3f} ms  "
        f"{quilt / pieces(answer) / each:5.2f} x harbour-lights (aim 1)"
    )

    with tempfile.TemporaryDirectory() as folder:
        out = str(Path(folder) / "out")
        built, _ = command("build", str(CABINETS / "harbour-lights"), "--out", out)
    row("build harbour-lights", built, kernel, "kernel", 4)


if __name__ == "__main__":
    main()
