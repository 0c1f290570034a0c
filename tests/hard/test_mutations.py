"""2 000 definitions, SVG and DXF drawings each, mutated: all are used, or refused with a place.

In every run drawings are only read, and cabinets built, which is where nearly all of them end. With
`pytest -m fuzz tests/hard` many more go the whole way of `check` and `pattern`, each in a child
that may take 5 s of the processor and 1 GB.
"""

import os
import resource
import shutil
import tomllib

import pytest

import mateline.drawing.dxf.reader  # noqa: F401  # both are
import mateline.exports.picture.pattern_svg  # noqa: F401  # imported before children are forked
from hard import mutations
from mateline.cabinet.cabinet import cabinet_of
from mateline.definition.definition import settled
from mateline.definition.schema import FILE, load
from mateline.drawing.reader import read_drawing
from mateline.errors import Faults, InputError, InputFaultsError
from mateline.one_drawing import pattern_report
from mateline.survey import surveyed

COUNT = 2_000
SECONDS, BYTES = 50, 3 << 29  # ten times what any took; 1 GB beside what is there at the start
MANY = range(100_000, 105_000)  # seeds of the long run


def cabinet_built(path):
    stated = settled(load(path.parent), Faults(str(path)))
    cabinet_of(stated.carcases, stated.hardware, stated.tape, Faults(str(path)))


def drawing_read(path):
    read_drawing(path, root=path.parent)


def whole_way(path):
    if path.name == FILE:
        surveyed(path.parent)
    else:
        pattern_report(path)


def refusal(run, path):
    """None for what is used, "" for what is refused as it should be, else what is wrong."""
    try:
        run(path)
    except (InputError, InputFaultsError) as error:
        faults = error.faults if isinstance(error, InputFaultsError) else (error,)
        odd = [str(one) for one in faults if not (one.file or one.place) or "\n" in str(one)]
        return "; ".join(odd)
    except Exception as error:  # noqa: BLE001  # whatever it is, with the seed beside it
        return f"{type(error).__name__}: {error}"
    return None


def written(folder, kind, seed):
    path = folder / (FILE if kind == "definition" else f"torn.{kind}")
    text = getattr(mutations, kind)(seed)
    path.write_bytes(text.encode("utf-8", "surrogatepass"))
    return path


@pytest.mark.parametrize(
    ("kind", "run"),
    [("definition", cabinet_built), ("svg", drawing_read), ("dxf", drawing_read)],
    ids=["definition", "svg", "dxf"],
)
def test_mutated_inputs_are_read_or_refused_with_a_place(tmp_path, kind, run):
    found = {seed: refusal(run, written(tmp_path, kind, seed)) for seed in range(COUNT)}
    assert {seed: what for seed, what in found.items() if what} == {}
    # Neither is all of it refused at the first look, nor do the changes change nothing.
    assert min(list(found.values()).count(answer) for answer in (None, "")) > COUNT / 20


def test_mutated_definitions_are_most_often_sound_toml():
    sound = 0
    for seed in range(200):
        try:
            tomllib.loads(mutations.definition(seed))
        except tomllib.TOMLDecodeError:
            continue
        sound += 1
    assert sound > 150


@pytest.mark.fuzz
@pytest.mark.parametrize("kind", ["definition", "svg", "dxf"])
def test_mutated_inputs_go_the_whole_way_or_are_refused_in_time(tmp_path, kind):
    shutil.copy(mutations.STARTER.parent / "band.svg", tmp_path)
    for seed in MANY:
        path = written(tmp_path, kind, seed)
        wrong = in_child(path)
        assert not wrong, (seed, wrong)


def in_child(path):
    """What is wrong with what the whole way makes of a file, in a process with limits."""
    ours, theirs = os.pipe()
    child = os.fork()
    if child == 0:
        resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
        resource.setrlimit(resource.RLIMIT_AS, (BYTES, BYTES))
        wrong = refusal(whole_way, path) or ""
        os.write(theirs, wrong[:2000].encode())
        os._exit(0)
    os.close(theirs)
    with os.fdopen(ours, "rb") as answers:
        answer = answers.read().decode()
    _, status = os.waitpid(child, 0)
    return answer if status == 0 else f"ended with {status}"
