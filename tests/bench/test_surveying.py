"""A cabinet whose drawings are still to be traced is surveyed as far as it is."""

import shutil
from pathlib import Path

from mateline.bench.surveying import Surveying, Wanted
from mateline.definition.schema import load

CABINETS = Path(__file__).parents[2] / "cabinets"


def test_faces_are_there_before_their_drawings_are_traced(tmp_path):
    folder = tmp_path / "last-season"
    shutil.copytree(CABINETS / "last-season", folder)
    surveying = Surveying(folder, lambda _: None)
    try:
        surveying.ask(Wanted("1", load(folder)))
        found = surveying.when_done(120)
    finally:
        surveying.end()
    assert found.state == "refused"
    assert "not there yet" in found.faults[0].what
    assert "body-front" in {each.face.name for each in found.job.stencils}
    assert found.job_version == "1"
