"""`mateline check FOLDER` as a user has it, and what processor time went into parts of it.

Run by bench_stencil in a process of its own. Prints one JSON object, seconds:

    imports  from the start of Python until all is imported that a check needs
    tacks    holding all pieces by tacks, chosen or taken over from a twin; narrow necks, which
             are found in between, belong to the check
    joins    choosing the sheets and the joins between them, or mirroring a twin's

Run: python benchmarks/check_clocked.py cabinets/quilt
"""

import contextlib
import io
import json
import sys
import time

INSIDE = {"tacks": ("_held",), "necks": ("necks_of",), "joins": ("grid_for", "mirrored")}


def timed(step, share, took):
    """`step`, with the time that it takes added to a share of `took`."""

    def run(*given):
        start = time.process_time()
        found = step(*given)
        took[share] += time.process_time() - start
        return found

    return run


def main(folder):
    from mateline import cli, commands  # noqa: F401, PLC0415  imports are clocked
    from mateline.exports import faces_table  # noqa: F401, PLC0415
    from mateline.stencil import stencil  # noqa: PLC0415

    took = {"imports": time.process_time(), **dict.fromkeys(INSIDE, 0.0)}
    for share, names in INSIDE.items():
        for name in names:
            setattr(stencil, name, timed(getattr(stencil, name), share, took))
    with contextlib.redirect_stdout(io.StringIO()):
        code = cli.main(["check", folder])
    took["tacks"] -= took.pop("necks")
    print(json.dumps(took))
    return code


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
