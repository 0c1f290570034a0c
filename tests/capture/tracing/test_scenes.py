"""Photographs of invented faces, laid flat by their own camera: how near the truth tracing is."""

import pytest

from mateline.capture.fitting.planarity import tiled
from mateline.capture.tracing.trace import fit
from mateline.pattern.tiling import Tiling
from scenes.camera import standing
from scenes.design import design
from scenes.ideal import labelled, squared
from scenes.imperfect import spoilt
from scenes.judging import judged, labels_right, true_segments
from scenes.photograph import photographed


def traced_scene(drawn, size, spoil, seed):
    scene = photographed(drawn, standing(drawn.outline, size=size), seed=seed)
    labels = labelled(drawn, scene.wear)
    if spoil:
        labels = spoilt(labels, seed)
    made = fit(labels, squared(scene), [tuple(corner) for corner in drawn.corners])
    tiling, wrong = tiled(made.traced.borders, made.traced.regions)
    assert (tiling, len(wrong)) == (Tiling(0.0, 0.0, 0), 0)
    return made, judged(made.traced, drawn, scene.wear), labels_right(labels, drawn, scene.wear)


def test_a_small_worn_side_is_traced_well_within_a_tenth_of_a_millimetre():
    drawn = design(3, 200, 266)
    _, verdict, _ = traced_scene(drawn, (720, 880), spoil=False, seed=3)
    assert verdict.rms <= 0.09
    assert verdict.missed <= 0.03


@pytest.mark.scenes
@pytest.mark.parametrize("spoil", [False, True])
@pytest.mark.parametrize("seed", range(1, 9))
def test_a_worn_side_of_twelve_megapixels(seed, spoil):
    drawn = design(seed)
    made, verdict, right = traced_scene(drawn, (3000, 4000), spoil, seed)
    assert right["all"] > 0.98
    assert verdict.rms <= 0.09
    assert verdict.missed <= 0.03
    assert verdict.segments <= (1.5 if spoil else 1.15) * true_segments(drawn)
    assert len(made.rough) == 0
