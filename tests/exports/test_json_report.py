import json
import math
from dataclasses import replace

import pytest

from mateline.checks.findings import Finding, Settled
from mateline.exports.json_report import canonical, contract, findings_json, job_json
from stencils import BOLT, seaside

SPLIT = Finding(
    "hole-splits-piece",
    "stop",
    "The button hole cuts it in two.",
    "Move it.",
    face="body-front",
    piece="body-front B1",
    hardware="button",
    at=(1 / 3, 2.0),
)


def test_the_answer_has_the_keys_that_scripts_rely_on():
    answer = contract("pier", [seaside()], [SPLIT])
    assert set(answer) == {"cabinet", "faces", "findings", "settled"}
    (face,) = answer["faces"]
    assert {"name", "area", "pieces"} <= set(face)
    assert [set(piece) for piece in face["pieces"]] == [{"id", "colour", "area", "tacks"}] * 3
    (finding,) = answer["findings"]
    assert finding == {
        "code": "hole-splits-piece",
        "level": "stop",
        "face": "body-front",
        "piece": "body-front B1",
        "hardware": "button",
        "at": [0.3333, 2.0],
        "message": "The button hole cuts it in two.",
        "remedy": "Move it.",
        "consequences": [],
    }
    assert answer["settled"] == []


def test_settled_findings_have_a_list_of_their_own_with_their_reasons():
    meant = [Settled(SPLIT, "A test.")]
    read = contract("pier", [], [], meant)
    assert read["findings"] == []
    (told,) = read["settled"]
    assert told == {**contract("pier", [], [SPLIT])["findings"][0], "because": "A test."}
    assert json.loads(findings_json("pier", [], meant)) == {
        "cabinet": "pier",
        "findings": [],
        "settled": [told],
    }


def test_what_comes_of_a_finding_is_told_in_full():
    thin = replace(SPLIT, code="hole-thins-piece", level="warn")
    (told,) = contract("pier", [], [replace(SPLIT, consequences=(thin,))])["findings"]
    assert told["consequences"] == contract("pier", [], [thin])["findings"]


def test_pieces_and_holes_add_up_to_the_face():
    (face,) = contract("pier", [seaside()], [])["faces"]
    total = sum(part["area"] for part in (*face["pieces"], *face["holes"]))
    assert total == pytest.approx(face["area"], rel=1e-9)
    assert [hole["name"] for hole in face["holes"]] == [BOLT.name]  # the button is no cut-out


def test_areas_are_those_of_lines_and_arcs():
    """The sun is a disc of 50 mm, the bolt's cut-out one of 15, the face 400 x 300; the wave's two
    arcs stand for one another: the sea is 400 x 100 whatever its bends."""
    (face,) = contract("pier", [seaside()], [])["faces"]
    areas = {piece["colour"]: piece["area"] for piece in face["pieces"]}
    sun, bolt = math.pi * 50**2, math.pi * 15**2
    wanted = {"sea blue": 4e4, "sun yellow": sun, "cream": 8e4 - sun - bolt}
    assert areas == pytest.approx(wanted, abs=1e-6)
    assert [hole["area"] for hole in face["holes"]] == pytest.approx([bolt], abs=1e-6)
    assert face["area"] == pytest.approx(12e4, abs=1e-6)


def test_holes_that_run_into_one_another_share_their_area():
    """Two discs of 15, 20 mm apart, overlap by 2 r² acos(d / 2r) - d/2 sqrt(4 r² - d²)."""
    other = replace(BOLT, name="other", centre=(100.0, 240.0))
    stencil = seaside()
    panel = replace(stencil.face.panel, holes=(BOLT, other))
    stencil = replace(stencil, face=replace(stencil.face, panel=panel))
    (face,) = contract("pier", [stencil], [])["faces"]
    both = 2 * 15**2 * math.acos(20 / 30) - 10 * math.sqrt(30**2 - 20**2)
    areas = [hole["area"] for hole in face["holes"]]
    assert areas == pytest.approx([math.pi * 15**2, math.pi * 15**2 - both], abs=1e-3)


def test_a_finding_without_a_place_says_so():
    bare = Finding("reading-suspect", "warn", "m", "r")
    (found,) = contract("pier", [], [bare])["findings"]
    assert (found["face"], found["piece"], found["hardware"], found["at"]) == (None,) * 4


def test_json_is_sorted_and_ends_in_a_newline():
    assert canonical({"b": 1, "a": "é"}) == '{\n  "a": "é",\n  "b": 1\n}\n'


def test_what_is_no_number_is_a_bug_and_loud():
    with pytest.raises(ValueError, match="not JSON compliant"):
        canonical({"area": float("nan")})


def test_findings_json_holds_every_finding_in_order():
    note = Finding("outline-unchecked", "note", "m", "r")
    read = json.loads(findings_json("pier", [SPLIT, note]))
    assert [found["code"] for found in read["findings"]] == [SPLIT.code, note.code]


def test_job_json_lists_its_files_and_where_tacks_are():
    read = json.loads(job_json("pier", [seaside()], ["b", "a"], {"title": "Pier"}))
    assert (read["made_by"], read["files"], read["title"]) == ("mateline", ["a", "b"], "Pier")
    (face,) = read["faces"]
    assert face["size"] == [400.0, 300.0]
    assert face["frame"]["along_y"] == [0.0, 0.0, 1.0]
    places = [tack["at"] for piece in face["pieces"] for tack in piece["tack_places"]]
    assert places == [[110.0, 75.0], [120.0, 180.0], [280.0, 215.0]]


def test_job_json_refuses_a_key_that_it_has_already():
    with pytest.raises(ValueError, match="already has files"):
        job_json("pier", [], [], {"files": []})


def test_the_same_job_gives_the_same_bytes():
    assert job_json("pier", [seaside()], [], {}) == job_json("pier", [seaside()], [], {})
