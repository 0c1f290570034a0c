"""A surveyor that remembers gives what a first survey gives, whatever was changed and how often."""

import random
import re
import shutil
from pathlib import Path

import pytest

from mateline.definition.schema import loaded
from mateline.errors import InputError, InputFaultsError
from mateline.exports.build import write
from mateline.memory import Memory
from mateline.starter import write_starter
from mateline.survey import Surveyor, measured, surveyed, with_true_borders

CABINETS = Path(__file__).parents[1] / "cabinets"
EDITS = 200
EXTRA = """
[[hardware]]
name = "bolt"
kind = "bolt"
size = "M8"
on = "box-left"
from = { front = "60 mm", bottom = "80 mm" }
both_sides = true

[painting]
hours_a_day = 8
"""


@pytest.fixture
def folder(tmp_path):
    write_starter(tmp_path / "box")
    file = tmp_path / "box" / "cabinet.toml"
    file.write_text(file.read_text(encoding="utf-8") + EXTRA, encoding="utf-8")
    return tmp_path / "box"


def numbers(text):
    """Places of the numbers that an edit may change: not in names, colours or the tape."""
    spans = [match.span() for match in re.finditer(r"(?<![\w#.\-])\d+(?![\w.\-])", text)]
    return [span for span in spans if span[0] > text.index("[palette]")]


def edited(text, chance):
    """The definition with one thing changed; it need not be one that can be built."""
    kind = chance.randrange(5)
    if kind == 0:
        return text.replace("both_sides = true", "both_sides = false")
    if kind == 1:
        return text.replace("both_sides = false", "both_sides = true")
    if kind == 2:
        return re.sub(r"hours_a_day = \d+", f"hours_a_day = {chance.randint(2, 12)}", text)
    if kind == 3:
        return re.sub(
            r'from = \{ front = "\d+', f'from = {{ front = "{chance.randint(5, 200)}', text
        )
    start, end = chance.choice(numbers(text))
    value = max(0, int(text[start:end]) + chance.choice([-7, -1, 1, 2, 30]))
    return text[:start] + str(value) + text[end:]


def outcome(survey):
    """All that a survey gives, as one key; or what it tells."""
    try:
        job = survey()
    except (InputError, InputFaultsError) as error:
        return str(error)
    return Memory().key(job)


def test_two_hundred_random_edits_give_warm_what_they_give_cold(folder):
    chance = random.Random(11)  # noqa: S311
    file, drawing = folder / "cabinet.toml", next(folder.glob("*.svg"))
    first, shapes = file.read_text(encoding="utf-8"), drawing.read_text(encoding="utf-8")
    surveyor = Surveyor()
    text, told, built = first, 0, set()
    for edit in range(EDITS):
        # Mistakes are undone, as people do, so that most surveys come to their end.
        text = edited(first if told else text, chance)
        file.write_text(text, encoding="utf-8")
        if edit % 10 == 9:
            colour = chance.choice(["#f4ead2", "#c8402f", "#123456"])
            drawing.write_text(shapes.replace("#c8402f", colour), encoding="utf-8")
        warm, cold = (outcome(lambda s=s: s(folder)) for s in (surveyor.surveyed, surveyed))
        assert warm == cold, text
        told = isinstance(cold, str)
        built.add(cold)
    assert sum(isinstance(each, bytes) for each in built) > EDITS / 8  # most do come to their end
    assert sum(isinstance(each, str) for each in built) > 3


def test_a_change_reaches_only_what_depends_on_it(folder):
    file, drawing = folder / "cabinet.toml", next(folder.glob("*.svg"))
    text = file.read_text(encoding="utf-8")
    surveyor = Surveyor()
    surveyor.surveyed(folder)

    def ran(change):
        file.write_text(change(text), encoding="utf-8")
        before = surveyor.memory.ran
        surveyor.surveyed(folder)
        return surveyor.memory.ran - before

    assert ran(lambda same: same) == 0
    assert ran(lambda t: t.replace("hours_a_day = 8", "hours_a_day = 5")) == 0  # no geometry at all
    assert ran(lambda t: t + "\n# a remark\n") == 0
    assert ran(lambda same: same) == 0
    bolt = ran(lambda t: t.replace('front = "60 mm"', 'front = "61 mm"'))
    everything = Memory()
    surveyed(folder, stages=everything)
    assert 0 < bolt < everything.ran
    drawing.write_text(drawing.read_text(encoding="utf-8") + "<!-- -->", encoding="utf-8")
    assert 0 < ran(lambda same: same) < 8  # the file is read again, and what it holds is the same


def test_files_from_a_remembering_surveyor_are_the_same_bytes(folder, tmp_path):
    surveyor = Surveyor()
    surveyor.surveyed(CABINETS / "corner-box")
    surveyor.surveyed(folder)
    surveyor.with_true_borders(surveyor.surveyed(folder))
    for name, job in (("warm", surveyor.surveyed(folder)), ("cold", surveyed(folder))):
        write(job, tmp_path / name)
    warm, cold = (
        {
            path.relative_to(tmp_path / name): path.read_bytes()
            for path in (tmp_path / name).rglob("*")
            if path.is_file()
        }
        for name in ("warm", "cold")
    )
    assert warm == cold
    assert len(warm) > 20


def test_true_borders_are_remembered_as_well(folder):
    surveyor = Surveyor()
    job = surveyor.surveyed(folder)
    surveyor.with_true_borders(job)
    before = surveyor.memory.ran
    again = surveyor.with_true_borders(surveyor.surveyed(folder))
    assert surveyor.memory.ran == before
    assert Memory().key(again) == Memory().key(with_true_borders(job))


def test_memory_is_bounded_by_the_last_surveys(folder):
    file = folder / "cabinet.toml"
    text = file.read_text(encoding="utf-8")
    surveyor, sizes = Surveyor(Memory(turns=2)), []
    for step in range(12):
        file.write_text(text.replace('front = "60 mm"', f'front = "{60 + step} mm"'), "utf-8")
        surveyor.surveyed(folder)
        sizes.append(len(surveyor.memory))
    assert max(sizes[4:]) == sizes[4]


def test_a_drawing_that_is_gone_is_told_after_it_was_remembered(folder):
    surveyor = Surveyor()
    surveyor.surveyed(folder)
    shutil.move(next(folder.glob("*.svg")), folder / "elsewhere.txt")
    with pytest.raises(InputError, match="There is no such drawing"):
        surveyor.surveyed(folder)


def test_a_text_stands_for_what_the_file_has(folder):
    file = folder / "cabinet.toml"
    text = file.read_text(encoding="utf-8")
    other = text.replace('front = "60 mm"', 'front = "90 mm"').replace(
        'C-D = "20 1/16"', 'C-D = "20"'
    )
    table = loaded(other, str(file))
    warm = outcome(lambda: Surveyor().surveyed(folder, table=table))
    outlines, *_ = measured(folder, table)
    assert warm != outcome(lambda: surveyed(folder))
    assert Memory().key(outlines) != Memory().key(measured(folder)[0])
    file.write_text(other, encoding="utf-8")
    assert warm == outcome(lambda: surveyed(folder))
    assert Memory().key(outlines) == Memory().key(measured(folder)[0])
