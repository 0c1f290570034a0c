"""Runs of commands: stages, ends and stops. The processes are small ones that say what is asked.

No test waits for a time: a process says when it is ready, and the runner tells when it has ended.
"""

import json
import sys
from queue import SimpleQueue

import pytest

from mateline.bench.running import BUILD, CHECK, Runner, command
from mateline.errors import InputError
from mateline.starter import write_starter

# what a process says on stderr, then on stdout, and its exit code
SAYS = """
import sys
for line in {talk!r}: print(line, file=sys.stderr, flush=True)
print({answer!r}, flush=True)
sys.exit({code})
"""
# waits for what never comes, once it has said that it is ready
WAITS = """
import signal, sys
def stopped(*_):
    print("mateline: Stopped by Ctrl-C while writing. Nothing was changed.", file=sys.stderr)
    sys.exit(130)
signal.signal(signal.SIGINT, {on})
print("mateline: writing 3 faces", file=sys.stderr, flush=True)
while True: signal.pause()
"""
posix = pytest.mark.skipif(sys.platform == "win32", reason="Windows has no SIGINT for one process")


class Bench:
    def __init__(self, tmp_path):
        self.events = SimpleQueue()
        self.told = []
        self.code = ""
        self.tmp_path = tmp_path
        self.runner = self.patient(60)

    def patient(self, seconds):
        self.runner = Runner(
            self.tmp_path,
            self.tmp_path / "out",
            self.events.put,
            called=lambda *_: (sys.executable, "-c", self.code),
            patience=seconds,
        )
        return self.runner

    def until(self, **wanted):
        """The first event from here on with these values."""
        while True:
            event = self.events.get()
            self.told.append(event)
            if event.items() >= wanted.items():
                return event

    def finished(self):
        self.runner.wait()
        while not self.events.empty():
            self.told.append(self.events.get())
        return self.told[-1]


@pytest.fixture
def bench(tmp_path):
    made = Bench(tmp_path)
    yield made
    made.runner.close()


def says(*talk, answer="{}", code=0):
    return SAYS.format(talk=[f"mateline: {line}" for line in talk], answer=answer, code=code)


def test_each_stage_of_a_build_is_told_with_its_share(bench):
    bench.code = says(
        "reading the definition", "cutting the stencils of 12 faces", "writing 12 faces"
    )
    bench.runner.start("build")
    bench.finished()
    shares = dict(BUILD)
    running = [(e["stage"], e["share"]) for e in bench.told if e["state"] == "running"]
    assert running == [
        ("starting", 0.0),
        ("reading the definition", shares["reading the definition"]),
        ("cutting the stencils of 12 faces", shares["cutting the stencils"]),
        ("writing 12 faces", shares["writing"]),
    ]
    assert bench.told[-1]["share"] == 1.0


@pytest.mark.parametrize("stages", [BUILD, CHECK])
def test_shares_rise_from_stage_to_stage_and_stay_below_the_whole(stages):
    shares = [share for _, share in stages]
    assert shares == sorted(set(shares))
    assert 0 < shares[0] < shares[-1] < 1


def test_a_build_that_traces_first_never_goes_back(bench):
    bench.code = says("reading the definition", "tracing", "reading the definition", "checking")
    bench.runner.start("build")
    bench.finished()
    shares = [event["share"] for event in bench.told]
    assert shares == sorted(shares)


def test_a_command_of_unknown_stages_tells_them_without_a_share(bench):
    bench.code = says("squaring left.jpg", "squaring right.jpg", answer='{"photos": 2}')
    bench.runner.start("square")
    assert bench.finished()["answer"] == {"photos": 2}
    assert [e["stage"] for e in bench.told[:3]] == [
        "starting", "squaring left.jpg", "squaring right.jpg",
    ]  # fmt: skip
    assert bench.told[1]["share"] is None


def test_what_counts_of_a_build_is_told_in_short(bench):
    answer = {
        "faces": [{"pieces": [1, 2]}, {"pieces": []}],
        "findings": [{"level": "stop"}, {"level": "note"}],
        "settled": [{}],
    }
    bench.code = says("checking", answer=json.dumps(answer), code=1)
    bench.runner.start("build")
    end = bench.finished()
    assert (end["state"], end["code"]) == ("done", 1)
    assert end["answer"] == {"faces": 2, "pieces": 2, "findings": 2, "stops": 1, "settled": 1}


def test_input_that_cannot_be_used_is_refused_in_the_words_of_the_command(bench):
    bench.code = says("reading the definition", "cabinet.toml: two faults.", "Mend both.", code=2)
    bench.runner.start("build")
    end = bench.finished()
    assert (end["state"], end["code"]) == ("refused", 2)
    assert end["message"] == "cabinet.toml: two faults. Mend both."


def test_a_process_that_dies_is_told_with_its_last_words(bench):
    bench.code = "raise SystemError('no more of this')"
    bench.runner.start("check")
    end = bench.finished()
    assert end["state"] == "failed"
    assert end["message"].endswith("SystemError: no more of this")


def test_one_run_at_a_time(bench):
    bench.code = WAITS.format(on="stopped")
    assert bench.runner.start("build") == 1
    bench.until(stage="writing 3 faces")
    with pytest.raises(InputError, match="A build is at work"):
        bench.runner.start("check")
    bench.runner.stop()
    bench.finished()
    bench.code = says("checking")
    assert bench.runner.start("check") == 2
    assert bench.finished()["state"] == "done"


@posix
def test_a_run_is_stopped_as_by_ctrl_c(bench):
    bench.code = WAITS.format(on="stopped")
    bench.runner.start("build")
    bench.until(stage="writing 3 faces")
    assert bench.runner.stop()
    end = bench.finished()
    assert (end["state"], end["code"]) == ("stopped", 130)
    assert end["message"] == "Stopped by Ctrl-C while writing. Nothing was changed."
    assert "stopping" in [event["state"] for event in bench.told]


@posix
def test_a_run_that_heeds_no_stop_is_killed(bench):
    bench.patient(0)
    bench.code = WAITS.format(on="signal.SIG_IGN")
    bench.runner.start("build")
    bench.until(stage="writing 3 faces")
    bench.runner.stop()
    assert bench.finished()["state"] == "stopped"


@posix
def test_a_run_ends_with_the_bench(bench):
    bench.code = WAITS.format(on="signal.SIG_IGN")
    bench.runner.start("build")
    bench.until(stage="writing 3 faces")
    bench.runner.close()
    assert bench.finished()["state"] == "stopped"
    assert not bench.runner.stop()


def test_nothing_to_stop_is_said(bench):
    assert bench.runner.last() is None
    assert not bench.runner.stop()


def test_a_folder_is_checked_by_the_command_itself(tmp_path):
    write_starter(tmp_path / "box")
    events = []
    runner = Runner(tmp_path / "box", tmp_path / "out", events.append)
    runner.start("check")
    runner.wait()
    # The starter: four painted faces, and every stage of a check in its order.
    assert [e["stage"].split(" of ")[0] for e in events if e["state"] == "running"] == [
        "starting", "reading the definition", "solving the outlines and joining the boards",
        "reading the drawings", "cutting the stencils", "checking",
        "fitting lines and arcs to the borders",
    ]  # fmt: skip
    assert events[-1]["state"] == "done"
    assert events[-1]["answer"]["pieces"] > 0


def test_a_build_says_where_to_and_a_trace_says_which_face(tmp_path):
    folder, out = tmp_path / "box", tmp_path / "out"
    assert command(folder, out, "build", None)[3:] == (
        "mateline", "build", str(folder), "--out", str(out), "--json",
    )  # fmt: skip
    assert command(folder, out, "trace", "box-left")[4:] == (
        "trace", str(folder), "box-left", "--json",
    )  # fmt: skip
