"""Runs `mateline pattern` on one file after another, each in a child with limits of its own.

Paths come on stdin, one a line; for each a line of JSON goes to stdout: exit code, processor
seconds, megabytes, and what the command wrote. Children are forked after the imports, so what is
measured is the work on the drawing.
"""

import json
import os
import resource
import sys
import tempfile
import traceback

import mateline.exports.picture.pattern_svg  # noqa: F401  # all three: what a run would import
from mateline.cli import main

SECONDS = 60  # of the processor: what never ends is ended by the kernel, and fails
BYTES = 6 << 30  # of addresses; what is really used is measured


def measured(path):
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
        child = os.fork()
        if child == 0:
            run(path, out, err)
        _, status, used = os.wait4(child, 0)
        answers = []
        for stream in (out, err):
            stream.seek(0)
            answers.append(stream.read().decode(errors="replace"))
    return {
        "code": os.waitstatus_to_exitcode(status),
        "seconds": used.ru_utime + used.ru_stime,
        "megabytes": used.ru_maxrss / 1024,
        "out": answers[0],
        "err": answers[1],
    }


def run(path, out, err):
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    resource.setrlimit(resource.RLIMIT_AS, (BYTES, BYTES))
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    os.dup2(out.fileno(), 1)
    os.dup2(err.fileno(), 2)
    code = 1
    try:
        code = main(["pattern", path, "--json"])
    except BaseException:  # noqa: BLE001  # as the interpreter would: print it and end with 1
        traceback.print_exc()
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(code)


if __name__ == "__main__":
    for line in sys.stdin:
        print(json.dumps(measured(json.loads(line))), flush=True)  # noqa: T201
