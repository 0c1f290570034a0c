"""model.glb read back by trimesh, which shares no code with its writer."""

import json
import math
import struct

import numpy as np
import pytest
import shapely
import trimesh
from hypothesis import given, settings
from hypothesis.strategies import integers, sampled_from
from shapely import Point, Polygon

from mateline.cabinet.faces import unrolled
from mateline.cabinet.hole import Hole, opening
from mateline.cabinet.joints import section
from mateline.cabinet.volume import volume
from mateline.curves import flattened
from mateline.drawing.shapes import Shape
from mateline.exports.solid.glb import write
from mateline.exports.solid.indexed_mesh import indexed
from mateline.exports.solid.skin import skin
from mateline.pattern.pattern import pattern_of
from solids import ENDS, HOLES, OUTLINE, PLAIN, SKEWED, SQUARE, THICK, panel

WOOD = "#c8a06a"
PAINTS = ("#d03020", "#20a040", "#2040c0", "#f0c020")


def painted(board, seed=3, count=20):
    """The board in its face's frame, and discs of four colours on its net, on a cream ground."""
    face = unrolled(board)
    rng = np.random.default_rng(seed)
    low_x, low_y, high_x, high_y = face.outline.bounds
    discs = [
        Shape(
            Point(rng.uniform(low_x, high_x), rng.uniform(low_y, high_y)).buffer(
                rng.uniform(5, 80), 32
            ),
            PAINTS[at % 4],
            f"{at}",
        )
        for at in range(count)
    ]
    pattern = pattern_of(discs, face.outline, base="#f4ead2")
    return face, [(region.area, region.colour) for region in pattern.regions]


def read(path):
    """The meshes by name, as a reader gets them that merges nothing."""
    return trimesh.load(path, process=False).geometry


@pytest.mark.parametrize("holes", [(), HOLES], ids=["bare", "with holes"])
@pytest.mark.parametrize("outline", [OUTLINE, SKEWED], ids=["square", "skewed"])
@pytest.mark.parametrize("ends", ENDS.values(), ids=ENDS)
def test_every_painted_board_is_one_closed_mesh(ends, outline, holes, tmp_path):
    face, regions = painted(panel(ends, holes, outline))
    write([face.panel], {"body-front": regions}, tmp_path / "m.glb", wood=WOOD)
    (mesh,) = read(tmp_path / "m.glb").values()
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    # Facets leave rounds and holes by up to 0.1 mm: a share of 5e-4 here.
    assert mesh.volume * 1e9 == pytest.approx(volume(face.panel), rel=5e-4)


def test_a_board_without_paint_is_closed_and_all_wood(tmp_path):
    boards = [panel(ends, HOLES, name=name) for name, ends in ENDS.items()]
    write(boards, {}, tmp_path / "m.glb", wood=WOOD)
    meshes = read(tmp_path / "m.glb")
    assert sorted(meshes) == sorted(f"body-{name}" for name in ENDS)
    assert all(mesh.is_watertight for mesh in meshes.values())
    assert {name for board in boards for name in skin(board, (), WOOD).colours} == {WOOD}


def areas_by_colour(made):
    a, b, c = np.moveaxis(made.triangles, 1, 0)
    areas = np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2
    names = np.array(made.colours)
    return {name: float(areas[names == name].sum()) for name in set(made.colours)}


def test_each_colour_covers_the_area_of_its_regions_less_the_holes():
    face, regions = painted(panel(ENDS["one of each"], HOLES))
    holes = shapely.union_all([Polygon(flattened(opening(hole))) for hole in face.holes])
    found = areas_by_colour(skin(face.panel, regions, WOOD))
    for colour in {colour for _, colour in regions}:
        wanted = sum(area.difference(holes).area for area, name in regions if name == colour)
        assert found[colour] == pytest.approx(wanted, rel=2e-3)


def test_paint_is_where_the_net_has_it_also_on_a_round():
    """Spots of a strip, at a share of its arc, come to lie at that angle of the round."""
    board = panel(ENDS["rounded all round"])
    face = unrolled(board)
    (strip,) = [strip for strip in face.strips if strip.edge == 0]
    low, high = strip.area.bounds[1], strip.score.coords[0][1]
    half = shapely.box(-1e3, low, 1e3, (low + high) / 2).intersection(face.outline)
    rest = face.outline.difference(half)
    made = skin(face.panel, [(half, PAINTS[0]), (rest, PAINTS[1])], WOOD)
    spots = made.triangles[np.array(made.colours) == PAINTS[0]].reshape(-1, 3)
    frame = face.panel.frame
    down = (spots - frame.corner) @ -np.array(frame.outward)
    # The lower half of a quarter round of radius 6: from 45 degrees, where the depth is
    # 6 (1 - cos 45), to 90 degrees; facets leave the round by 0.1 mm at most.
    assert down.max() == pytest.approx(6.0, abs=1e-3)
    assert down.min() == pytest.approx(6 * (1 - np.cos(np.pi / 4)), abs=0.1)


def test_wood_shows_between_the_paint_and_hardware_that_stays():
    bolt = Hole("bolt", "round", (200.0, 150.0), 24.0, 24.0, stays=True, margin=3.0)
    face = unrolled(panel(ENDS["plain"], [bolt]))
    room = face.outline.difference(Point(200.0, 150.0).buffer(15.0, 64))
    made = skin(face.panel, [(room, PAINTS[0])], WOOD)
    bare = areas_by_colour(skin(face.panel, (), WOOD))[WOOD]
    assert areas_by_colour(made)[WOOD] == pytest.approx(bare - room.area, rel=1e-3)


def test_the_file_is_metres_with_y_up_and_the_front_towards_z(tmp_path):
    write([panel(ENDS["plain"])], {}, tmp_path / "m.glb", wood=WOOD)
    (mesh,) = read(tmp_path / "m.glb").values()
    frame = panel(ENDS["plain"]).frame
    x, y, z = frame.corner
    corner = np.array([x, z, -y]) / 1000
    assert np.linalg.norm(mesh.vertices - corner, axis=1).min() < 1e-6
    normals = mesh.face_normals[np.argmax(mesh.area_faces)]
    out_x, out_y, out_z = frame.outward
    assert abs(normals @ [out_x, out_z, -out_y]) == pytest.approx(1.0, abs=1e-6)


def document(path):
    """The JSON chunk of a GLB (glTF 2.0 section 4.4)."""
    data = path.read_bytes()
    magic, version, total = struct.unpack_from("<4sII", data)
    assert (magic, version, total) == (b"glTF", 2, len(data))
    length, kind = struct.unpack_from("<I4s", data, 12)
    assert kind == b"JSON"
    return json.loads(data[20 : 20 + length])


def test_the_colours_are_linear_light_and_the_paint_is_no_metal(tmp_path):
    write([panel(ENDS["plain"])], {}, tmp_path / "m.glb", wood="#bc0a80")
    (mesh,) = trimesh.load(tmp_path / "m.glb", process=False).geometry.values()
    tints = np.unique(np.asarray(mesh.visual.vertex_attributes["color"])[:, :3], axis=0)
    # IEC 61966-2-1: 188 -> 0.502886, 10 -> 10/255/12.92 = 0.003035, 128 -> 0.215861.
    np.testing.assert_allclose(tints, [[0.502886, 0.003035, 0.215861]], atol=5e-7)
    (material,) = document(tmp_path / "m.glb")["materials"]
    assert material["pbrMetallicRoughness"]["metallicFactor"] == 0


def test_the_same_boards_give_the_same_bytes(tmp_path):
    face, regions = painted(panel(ENDS["unlike rounds meeting"], HOLES))
    for name in ("one.glb", "two.glb"):
        write([face.panel], {"body-front": regions}, tmp_path / name, wood=WOOD)
    assert (tmp_path / "one.glb").read_bytes() == (tmp_path / "two.glb").read_bytes()


def test_a_hole_over_an_edge_is_refused():
    hole = Hole("x", "round", (0.0, 100.0), 20.0, 20.0)
    with pytest.raises(ValueError, match="front: a hole runs over an edge"):
        skin(panel(ENDS["plain"], [hole]), (), WOOD)


def test_a_hole_that_runs_out_through_an_end_is_drawn_as_deep_as_it_is_clear(tmp_path):
    # A mitred edge is 18 in at the inside, the hole's rim 10: clear to 4/8 of the board, 9 mm.
    leaning = section("mitre", THICK, THICK, SQUARE, None)
    hole = Hole("x", "round", (200.0, 20.0), 20.0, 20.0)
    board = panel((leaning, PLAIN, PLAIN, PLAIN), [hole])
    write([board], {}, tmp_path / "m.glb", wood=WOOD)
    (mesh,) = read(tmp_path / "m.glb").values()
    assert mesh.is_watertight
    body = volume(panel((leaning, PLAIN, PLAIN, PLAIN)))
    assert body - mesh.volume * 1e9 == pytest.approx(math.pi * 100 * 9, rel=0.03)  # a 13-gon


def test_paint_that_is_not_the_nets_is_refused():
    with pytest.raises(ValueError, match=r"the paint ends .* mm from its net's corner"):
        skin(panel(ENDS["plain"]), [(shapely.box(0, 0, 300, 300), PAINTS[0])], WOOD)


def test_a_vertex_has_one_colour_and_bands_are_a_hair_wide():
    face, regions = painted(panel(ENDS["plain"]))
    mesh = indexed(skin(face.panel, regions, WOOD))
    tints = mesh.tints[mesh.triangles]
    mixed = (tints != tints[:, :1]).any(axis=1)
    a, b, c = np.moveaxis(mesh.places[mesh.triangles[mixed]], 1, 0)
    areas = np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2
    sides = [np.linalg.norm(one - two, axis=1) for one, two in ((a, b), (b, c), (c, a))]
    assert mixed.any()
    assert (2 * areas / np.max(sides, axis=0) < 0.005).all()  # mm: how wide each sliver is


@settings(max_examples=15, deadline=None)
@given(sampled_from(sorted(ENDS)), integers(0, 10_000), integers(1, 60))
def test_any_paint_leaves_the_mesh_closed(ends, seed, count):
    face, regions = painted(panel(ENDS[ends], HOLES), seed, count)
    mesh = indexed(skin(face.panel, regions, WOOD))
    assert trimesh.Trimesh(mesh.places, mesh.triangles, process=False).is_watertight
