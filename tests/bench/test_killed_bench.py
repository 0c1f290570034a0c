"""Story (d): the bench is killed in the middle of edits, started again, and nothing is lost.

The moments of one edit are tried one by one in keeping/test_history.py; here it is a whole bench,
in a process of its own, surveying meanwhile.
"""

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from mateline.bench.workbench import Workbench

ROOT = Path(__file__).parents[2]
CHILD = """
import sys
from pathlib import Path
from killing import happens, killed
from mateline.bench.workbench import Workbench

bench = Workbench(Path(sys.argv[1]))
first = bench.stated().undo.count
happens(killed, int(sys.argv[2]), frozenset({"os.rename", "os.remove"}))
for number in range(first, first + 50):
    patch = [{"op": "replace", "path": "/hardware/0/diameter", "value": 30 + number}]
    bench.edit(bench.stated().version, f"to {30 + number}", patch)
    print(30 + number, flush=True)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="it is killed as POSIX kills")
def test_a_bench_killed_in_the_middle_of_edits_goes_on_where_it_was(tmp_path):
    folder = tmp_path / "box"
    shutil.copytree(ROOT / "cabinets" / "corner-box", folder)
    first = (folder / "cabinet.toml").read_text(encoding="utf-8")
    answered = []
    for moment in (7, 12, 3):
        found = subprocess.run(
            [sys.executable, "-c", CHILD, str(folder), str(moment)],
            capture_output=True, text=True, check=False, env={"PYTHONPATH": ":".join(sys.path)},
        )  # fmt: skip
        assert found.returncode == -9, found.stderr
        answered += map(int, found.stdout.split())
        bench = Workbench(folder)
        stated = bench.stated()
        done = [30 + n for n in range(stated.undo.count)]
        assert done[: len(answered)] == answered
        assert len(done) <= len(answered) + 1
        answered = done
        assert stated.table["hardware"][0]["diameter"] == done[-1]
        assert stated.undo.next == f"to {done[-1]}"
        assert bench.surveyed(600).job_version == stated.version
        bench.close()
    bench = Workbench(folder)
    while bench.stated().undo.count:
        bench.undo(bench.stated().version)
    assert bench.stated().text == first
    bench.close()
