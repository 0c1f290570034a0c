"""The demo that starts from photos, held against the cabinet that was photographed."""

import pytest

from mateline.photos.captured import photographs, traced_face
from scenes.judging import judged, true_segments
from scenes.last_season import FOLDER, front, side, true_cabinet


@pytest.mark.scenes
@pytest.mark.parametrize(("face", "drawn"), [("body-right", side), ("body-front", front)])
def test_what_is_traced_is_what_was_painted(face, drawn):
    truth = drawn(true_cabinet().face(face).outline)
    traced = traced_face(photographs(FOLDER), face)
    found = judged(traced.traced, truth)
    answer = traced.as_json("")
    assert found.rms < 1.3 * answer["expected_rms"]  # the tape's doubt of the corners is most of it
    assert found.missed < 0.03
    assert found.extra < 0.03
    assert found.segments <= 1.15 * true_segments(truth) + 2
    assert answer["regions"] == len(truth.pattern.regions)
    assert {each["colour"] for each in answer["colours"]} == set(truth.colours)
