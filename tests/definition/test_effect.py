"""Every word of the definition has an effect where it stands, or is refused, or told.

Each case adds a word to a small cabinet, or changes it, and looks at all that comes out: faces,
stencils, findings and the plan; what only files show (the title, the cutter's knife) is compared as
it is handed on. A new word of the schema fails until it has its cases in tests/words.py.
"""

import tomllib
from functools import cache
from typing import get_args

import pytest
from pydantic import BaseModel

from art_words import DRAWINGS
from capture_words import CAPTURE_CASES
from edge_words import EDGE_CASES
from mateline.definition.definition import settled
from mateline.definition.schema import DefinitionTable, parsed
from mateline.errors import Faults, InputError, InputFaultsError
from mateline.memory import Memory
from mateline.survey import planned, survey_of
from outline_words import OUTLINE_CASES
from words import (
    ADDED,
    CASES,
    FILE,
    GIVEN,
    HARDWARE,
    MARKS,
    ON,
    REFUSED,
    SLOTS,
    TOLD,
    USUAL,
)

EVERY = CAPTURE_CASES | CASES | OUTLINE_CASES | EDGE_CASES
MEMORY = Memory()  # faces that a word doesn't reach are cut once


def outcome(before, after):
    """What adding the word does."""
    was = result(**before)
    assert isinstance(was, tuple), was
    now = result(**after)
    if not isinstance(now, tuple):
        return REFUSED
    if now[1] > was[1]:
        return TOLD
    return ADDED if now[0] != was[0] else "nothing"


def result(**slots):
    """A key of all that comes out, and how many words are told; the fault of what is refused."""
    return _result(tuple(sorted(slots.items())))


@cache
def _result(slots):
    given = {**USUAL, **dict(slots)}
    if "more" not in given:
        given["more"] = ON
    text = FILE.format(**{slot: given.get(slot, GIVEN.get(slot, "")) for slot in SLOTS})
    try:
        definition = settled(parsed(tomllib.loads(text), "cabinet.toml"), Faults("cabinet.toml"))
        job = survey_of(definition, DRAWINGS, stages=MEMORY)
    except (InputError, InputFaultsError) as fault:
        return str(fault)
    told = [each for each in job.findings if each.code == "word-without-effect"]
    rest = [each for each in job.findings if each.code != "word-without-effect"]
    stated = (definition.title, definition.board, definition.paper, definition.radii,
              definition.tape, definition.photos, definition.traces)  # fmt: skip
    made = (
        job.cabinet.faces,
        sorted(job.cabinet.planes),
        job.art,
        job.stencils,
        job.pairs,
        rest,
        job.settled,
    )
    outlines = [(one.points, one.deviations, one.verdict) for one in job.cabinet.outlines.values()]
    return MEMORY.key((stated, made, outlines, repr(planned(job)))), len(told)


@pytest.mark.parametrize(
    ("word", "before", "after", "expected"),
    [(word, *case) for word, cases in EVERY.items() for case in cases],
)
def test_a_word_changes_something_or_is_refused_or_told(word, before, after, expected):
    assert outcome(before, after) == expected, word


def words_of(model, found):
    """All words of a table and of those in it that hold no table themselves."""
    for name, field in model.model_fields.items():
        tables = [each for each in _types(field.annotation) if issubclass(each, BaseModel)]
        if not tables:
            found.add(f"{model.__name__}.{name}")
        for table in tables:
            words_of(table, found)
    return found


def _types(annotation):
    if isinstance(annotation, type) and not get_args(annotation):
        yield annotation
    for inner in get_args(annotation):
        yield from _types(inner)


def test_every_word_of_the_schema_has_its_cases():
    assert words_of(DefinitionTable, set()) <= set(EVERY)


def test_a_refusal_names_its_place_and_what_makes_the_word_idle():
    text = result(more=f"{MARKS}turn = 20")
    assert text.startswith("cabinet.toml: art 1, turn: It has no effect beside landmarks")
    assert "Remove it" in text
    assert "(b), head: It has no effect on hardware" in result(more=HARDWARE["round"] + "head = 9")
