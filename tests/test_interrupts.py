"""Ctrl-C waits while something is done whole, and leaves nothing wherever it comes."""

import os
import signal
import subprocess
import sys
from pathlib import Path
from threading import Thread

import pytest

from mateline.exports.folder import files_in
from mateline.interrupts import kept_waiting
from mateline.starter import write_starter

HARNESS = """
import sys
sys.path.insert(0, sys.argv.pop(1))
from killing import happens, interrupted
from mateline.cli import main
happens(interrupted, int(sys.argv.pop(1)), frozenset({sys.argv.pop(1)}))
sys.exit(main())
"""


@pytest.fixture(autouse=True)
def heard():
    """Ctrl-C as at a terminal: a run in the background has it ignored."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


def interrupt():
    signal.raise_signal(signal.SIGINT)


def test_it_comes_when_the_block_has_ended():
    done = []

    def work():
        with kept_waiting():
            interrupt()
            done.append("whole")

    with pytest.raises(KeyboardInterrupt):
        work()
    assert done == ["whole"]
    with pytest.raises(KeyboardInterrupt):
        interrupt()  # as before


def test_it_comes_too_late_for_the_last_step_unless_that_fails():
    def work(*, well):
        with kept_waiting(for_good=True):
            interrupt()
            if not well:
                raise ValueError

    work(well=True)
    with pytest.raises(KeyboardInterrupt):
        work(well=False)


def test_inner_blocks_wait_for_outer_ones():
    done = []

    def work():
        with kept_waiting():
            with kept_waiting():
                interrupt()
            done.append("whole")

    with pytest.raises(KeyboardInterrupt):
        work()
    assert done == ["whole"]


def test_other_threads_have_nothing_to_wait_for():
    done = []

    def work():
        with kept_waiting():
            done.append("whole")

    thread = Thread(target=work)
    thread.start()
    thread.join()
    assert done == ["whole"]


# While Python reads our modules, while the numerical ones start, while drawings are read, and while
# files are written; each is the n-th of a kind of call, so that it is the same in every run.
MOMENTS = [("import", 3), ("import", 60), ("import", 300), ("import", 700), ("open", 40),
           ("open", 150), ("os.mkdir", 1), ("os.mkdir", 3)]  # fmt: skip


@pytest.mark.skipif(os.name == "nt", reason="Windows sends no signals")
@pytest.mark.parametrize(("call", "number"), MOMENTS)
def test_a_build_that_is_stopped_leaves_no_traceback_no_file_and_no_process(tmp_path, call, number):
    write_starter(tmp_path / "box")
    (tmp_path / "tmp").mkdir()
    before = files_in(tmp_path)
    with subprocess.Popen(
        [
            *(sys.executable, "-c", HARNESS, str(Path(__file__).parent), str(number), call),
            *("build", "box", "--cores", "2"),
        ],
        cwd=tmp_path, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        start_new_session=True, env={**os.environ, "TMPDIR": str(tmp_path / "tmp")},
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # noqa: PLW1509
    ) as process:  # fmt: skip
        out, err = process.communicate()  # ends when no process has its streams open any more
    assert (process.returncode, out) == (130, "")
    assert err.count("\n") <= 8
    # before there is anything to tell it with, it is not told
    assert err == "" or err.splitlines()[-1].startswith("mateline: Stopped by Ctrl-C while ")
    assert "Traceback" not in err
    assert files_in(tmp_path) == before
    assert list(tmp_path.glob("**/*mateline-*")) == list((tmp_path / "tmp").iterdir()) == []
