r"""Every hole in job.json, worked on the page.

A head leans back by 30°: its front's y is (0, sin 30°, cos 30°) and it looks to (0, -cos 30°,
sin 30°).
"""

import json
import math

import pytest

from mateline.cabinet.faces import unrolled
from mateline.cabinet.hole import Hole
from mateline.cabinet.panel import Frame
from mateline.exports.hardware_json import hardware_json
from mateline.exports.json_report import job_json
from stencils import BOLT, BUTTON, board, seaside

COS, SIN = math.cos(math.radians(30)), 0.5
LEANING = Frame((100.0, 200.0, 700.0), (1.0, 0.0, 0.0), (0.0, SIN, COS))


def holes(*given):
    return hardware_json(unrolled(board("front", LEANING, (400.0, 300.0), holes=given)), [7.0] * 9)


def test_job_json_holds_every_hole_whether_it_is_removed_or_stays():
    (face,) = json.loads(job_json("pier", [seaside()], [], {}))["faces"]
    told = {hole["name"]: hole for hole in face["holes"]}
    assert set(told) == {BOLT.name, BUTTON.name}
    assert (told["bolt"]["state"], told["button"]["state"]) == ("stays", "removed")
    assert told["button"]["at"] == [200.0, 45.0]
    assert (told["button"]["kind"], told["button"]["width"]) == ("round", 28.0)
    assert told["bolt"]["margin"] == 3.0
    assert told["button"]["margin"] is None


def test_pieces_and_all_holes_of_job_json_add_up_to_the_face():
    (face,) = json.loads(job_json("pier", [seaside()], [], {}))["faces"]
    total = sum(part["area"] for part in (*face["pieces"], *face["holes"]))
    assert total == pytest.approx(face["area"], rel=1e-9)
    assert [hole["area"] for hole in face["holes"] if hole["state"] == "removed"] == [0.0]


def test_a_hole_has_its_place_and_its_ways_in_the_cabinet():
    slot = Hole("vent", "slot", (50.0, 80.0), 60.0, 12.0, turn=math.pi / 2)
    (told,) = holes(slot)
    place = told["in_cabinet"]
    assert place["at"] == pytest.approx([150.0, 200 + 80 * SIN, 700 + 80 * COS], abs=1e-4)
    assert place["outward"] == pytest.approx([0.0, -COS, SIN], abs=1e-12)
    assert place["along"] == pytest.approx([0.0, SIN, COS], abs=1e-12)  # it stands upright
    assert told["area"] == 0.0


def test_a_hole_tells_its_whole_shape():
    screw = Hole("screw", "countersunk", (10.0, 20.0), 6.0, 6.0, head=12.0, head_angle=math.pi / 2,
                 stays=True, margin=1.0, deviation=(0.25, 0.5))  # fmt: skip
    (told,) = holes(screw)
    shape = {word: told[word] for word in ("kind", "length", "width", "head", "head_angle")}
    assert shape == {"kind": "countersunk", "length": 6.0, "width": 6.0, "head": 12.0,
                     "head_angle": 1.5708}  # fmt: skip
    assert (told["deviation"], told["area"]) == ([0.25, 0.5], 7.0)
