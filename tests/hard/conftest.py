"""One process that runs `mateline pattern` in children with limits, for all hostile drawings."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

# How much work is done is counted by the reader, before it does it, and each refusal says which
# count; no clock is read. What would go on without end is ended by the kernel (forked_runs).
MEGABYTES = 1024


@pytest.fixture(scope="session")
def forks():
    command = [sys.executable, str(Path(__file__).parent / "forked_runs.py")]
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:

        def run(path):
            process.stdin.write(json.dumps(str(path)) + "\n")
            process.stdin.flush()
            return json.loads(process.stdout.readline())

        yield run
        process.stdin.close()


@pytest.fixture
def pattern_of_file(forks):
    """What `mateline pattern` says of a file, which must be within the limits and no traceback."""

    def run(path):
        found = forks(path)
        assert "Traceback" not in found["err"], found["err"]
        assert found["code"] in {0, 2}, found
        assert found["megabytes"] <= MEGABYTES, found["megabytes"]
        return found

    return run
