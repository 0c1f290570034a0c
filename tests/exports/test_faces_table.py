"""The terminal's table of faces: pieces are those that are cut."""

from pathlib import Path

from mateline.exports.faces_table import faces_table
from mateline.exports.jobbook.whole_job import content
from mateline.survey import as_laid_out, planned, surveyed, turned_sets

CABINETS = Path(__file__).parents[2] / "cabinets"


def test_a_set_that_is_turned_over_is_counted_once_as_on_the_first_page_of_the_book():
    job = surveyed(CABINETS / "night-ferry")
    plan, sets = planned(job), turned_sets(job)
    assert sets == plan.sets
    lines = faces_table(job.stencils, job.tape, sets=sets).splitlines()
    rows = {line.split()[0]: line for line in lines}
    total = lines[-1]
    assert "the set of body-left, turned over" in rows["body-right"]
    assert rows["body-right"].split()[5:7] == ["0", "38"]
    assert rows["body-left"].split()[5:7] == ["15", "38"]
    told = {fact.what: fact.said for fact in content(as_laid_out(job, sets), plan).numbers}
    pieces, tacks = total.split()[2:]
    assert pieces == told["Pieces of board"]
    assert told["Tape tacks"].startswith(f"{tacks} when all is laid")
