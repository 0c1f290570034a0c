"""Twenty scenes over the whole road, photo to borders, held to the figures that it was built for.

Harder scenes have bounds of their own in OWN, each with its reason.
"""

import pytest

from mateline.capture.fitting.planarity import tiled
from mateline.pattern.tiling import Tiling
from scenes.judging import judged, labels_right, true_segments
from scenes.road import RIDES, ridden, traced

pytestmark = pytest.mark.scenes

AIM = {"all": 0.987, "sound": 0.995, "damaged": 0.94, "rms": 0.09, "missed": 0.03, "segments": 1.15}
# Small faces have shapes of a few centimetres: a chip hides more of each, and its corners are near.
SMALL = {"all": 0.985, "damaged": 0.91}
OWN: dict[str, dict[str, float]] = {
    "plain 4": SMALL,
    "plain 5": SMALL,
    "plain 7": SMALL,
    "plain 8": SMALL,
    "light from a side": SMALL,
    # a border is soft over eight pixels: a green stripe of two millimetres between two teal ones
    # runs into them, and looks like damage
    "blurred": {"rms": 0.12},
    # the same at four pixels a stripe, whose ends nobody sees
    "all at once": {"all": 0.98, "sound": 0.994, "segments": 1.4},
    "far away": {"rms": 0.14},  # 1.2 pixels a mm instead of 2.35
    # ends of stripes lie under bare wood: what labels guess there is followed in nine for four
    "k2, moved centre": {"segments": 1.2},
    "quarter gone": {"segments": 1.2},
    "whole 2": {"segments": 1.2},
}


@pytest.mark.parametrize("name", RIDES)
def test_a_scene_is_traced_as_well_as_it_should_be(name):
    ride, aim = ridden(name), AIM | OWN.get(name, {})
    made = traced(ride)
    design, wear = ride.scene.design, ride.scene.wear
    right = labels_right(ride.labels, design, wear)
    assert {
        each: right[each] >= aim[each] for each in ("all", "sound", "damaged")
    } == dict.fromkeys(("all", "sound", "damaged"), True), right
    found = judged(made.traced, design, wear)
    assert found.rms <= aim["rms"] + ride.expected
    assert found.missed <= aim["missed"]
    assert found.segments <= aim["segments"] * true_segments(design)
    tiling, wrong = tiled(made.traced.borders, made.traced.regions)
    assert (tiling, len(wrong)) == (Tiling(0.0, 0.0, 0), 0)
