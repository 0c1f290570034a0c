"""A crew gives the same as one pair of hands, tells what went wrong, and leaves nobody behind."""

import math
import os
import pathlib
from threading import Event

import pytest

from mateline.cli import main
from mateline.crew import Crew, Shared, _Work, cores
from mateline.errors import InputError
from mateline.exports.folder import files_in
from mateline.starter import write_starter

HANDS = (0, 1, 2)


@pytest.mark.parametrize("hands", HANDS)
def test_results_come_in_the_order_of_the_tasks(hands):
    tasks = [(math.sqrt, (float(number**2),)) for number in range(20)]
    with Crew(hands) as crew:
        assert crew.done(tasks) == [float(number) for number in range(20)]
        assert crew.done(tasks[:3]) == [0.0, 1.0, 2.0]  # a crew can be asked again
        assert crew.done([]) == []


def test_hands_are_other_processes_and_take_tasks_from_the_front(monkeypatch):
    told = Event()
    real = _Work.put

    def put(self, number, result, *, well):
        real(self, number, result, well=well)
        if number == 2:
            told.set()

    monkeypatch.setattr(_Work, "put", put)
    with Crew(1) as crew:
        ((process, _),) = crew._hands
        # The last task is ours. It ends when the hand has done all the others.
        met = crew.done([*[(os.getpid, ())] * 3, (told.wait, (60,))])
    assert met == [process.pid] * 3 + [True]


@pytest.mark.parametrize("hands", HANDS)
def test_what_a_task_raises_is_raised_here(hands):
    with Crew(hands) as crew, pytest.raises(ValueError, match="invalid literal"):
        crew.done([(int, ("one",))])


def test_faults_of_the_input_come_through_whole():
    error = InputError("a.svg", "#b", "It is wrong.", "Mend it.")
    with Crew(1) as crew:
        (copy,) = crew.done([(InputError, error.args)])
    assert (str(copy), copy.place) == (str(error), "#b")


def test_no_hand_is_left_when_work_ends_badly():
    crew = Crew(1)
    ((process, _),) = crew._hands
    with pytest.raises(KeyboardInterrupt), crew:
        raise KeyboardInterrupt
    assert process.exitcode is not None


def test_a_hand_that_ended_before_its_work_is_told():
    with Crew(1) as crew:
        ((process, here),) = crew._hands
        process.kill()
        process.join()
        crew._ready.add(0)
        work = _Work([(abs, (-1,))])
        crew._hand_out(0, here, work)
    with pytest.raises(RuntimeError, match="ended before its work was done"):
        work.results()


def test_a_hand_imports_what_it_is_told_to_on_its_first_day():
    with Crew(1, ("ezdxf",)) as crew:
        ((_, here),) = crew._hands
        assert here.recv() == "ready"
        here.send((eval, ("'ezdxf' in __import__('sys').modules",)))  # noqa: S307  ours
        assert here.recv() == (True, True)


def test_a_hand_that_is_not_ready_gets_no_task_and_is_not_waited_for():
    with Crew(1, ("cadquery",)) as crew:  # which takes seconds to import
        assert set(crew.done([(os.getpid, ())] * 3)) == {os.getpid()}


def test_a_hand_that_ended_before_it_was_ready_leaves_the_work_to_us():
    with Crew(1, ("no_such_module",)) as crew:
        ((process, _),) = crew._hands
        process.join()
        assert crew.done([(abs, (-1,))] * 3) == [1, 1, 1]


def test_stages_that_are_shared_give_what_they_give_alone():
    with Crew(1) as crew:
        assert Shared(crew).recall_each(math.pow, [(2.0, 3.0), (3.0, 2.0)]) == [8.0, 9.0]
        assert Shared(crew).recall(math.pow, 2.0, 3.0) == 8.0


@pytest.mark.parametrize("name", ["corner-box", "harbour-lights"])
def test_a_check_on_two_cores_says_what_one_says(name, capsys):
    folder = str(pathlib.Path(__file__).parents[1] / "cabinets" / name)
    said = []
    for number in ("1", "2"):
        assert main(["check", folder, "--json", "--cores", number]) == 0
        said.append(capsys.readouterr().out)
    assert said[0] == said[1]


def test_there_is_one_core_at_least():
    assert cores() >= 1


@pytest.mark.parametrize("number", ["0", "-1", "two", "1.5"])
def test_a_number_of_cores_that_is_none_is_refused(number, capsys):
    with pytest.raises(SystemExit) as caught:
        main(["build", "box", "--cores", number])
    assert caught.value.code == 2
    assert "is no number of cores; give 1 or more" in capsys.readouterr().err


def test_two_cores_write_the_same_bytes_as_one(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    write_starter(pathlib.Path("box"))
    for number in ("1", "2"):
        assert main(["build", "box", "--cores", number, "--out", number]) == 0
    capsys.readouterr()
    one, two = (pathlib.Path(number) for number in ("1", "2"))
    assert files_in(one) == files_in(two)
    assert all((one / name).read_bytes() == (two / name).read_bytes() for name in files_in(one))


def test_a_definition_that_cannot_be_used_leaves_no_hand(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    hired = []
    real = Crew.__init__

    def watched(self, *given):
        real(self, *given)
        hired.extend(process for process, _ in self._hands)

    monkeypatch.setattr(Crew, "__init__", watched)
    assert main(["build", "nowhere", "--cores", "2"]) == 2
    capsys.readouterr()
    assert len(hired) == 1
    assert hired[0].exitcode is not None
