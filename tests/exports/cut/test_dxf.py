import io
import math
from collections import Counter
from pathlib import Path

import ezdxf
import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, lists, tuples

from dxf_reading import entity_length
from golden import assert_golden
from mateline.curves import Chain, Segment, backwards, circle, length
from mateline.exports.cut.dxf import COLOURS, _add, stencil_dxf
from mateline.exports.cut.layers import LAYERS
from stencils import FRONT, board, seaside, striped

LETTERING = ("LABEL", "LABEL-BACK", "REGISTER")


def read(stencil):
    return ezdxf.read(io.StringIO(stencil_dxf(stencil)))


@pytest.mark.parametrize("stencil", [seaside(), striped(board("front", FRONT, (300.0, 200.0)))])
def test_the_audit_finds_nothing(stencil):
    found = read(stencil).audit()
    assert (found.errors, found.fixes) == ([], [])


@pytest.mark.parametrize("stencil", [seaside(), striped(board("front", FRONT, (300.0, 200.0)))])
def test_every_border_is_one_entity_of_its_length(stencil):
    cut = read(stencil).modelspace().query('*[layer=="CUT"]')
    found = [entity_length(entity) for entity in cut]
    known = [length(chain) for chain in stencil.chains]
    assert sorted(found) == pytest.approx(sorted(known), abs=1e-5)


def test_entities_are_of_the_plainest_kind():
    cut = read(seaside()).modelspace().query('*[layer=="CUT"]')
    kinds = Counter(entity.dxftype() for entity in cut)
    assert kinds == {"LWPOLYLINE": 3, "CIRCLE": 2}


def test_arcs_of_a_polyline_have_their_centres():
    cut = read(seaside()).modelspace().query('LWPOLYLINE[layer=="CUT"]')
    arcs = [part for line in cut for part in line.virtual_entities() if part.dxftype() == "ARC"]
    centres = sorted((arc.dxf.center.x, arc.dxf.center.y) for arc in arcs)
    assert centres == [pytest.approx((100, 25)), pytest.approx((300, 175))]


def test_layers_are_those_of_the_stencil_and_no_entity_lies_elsewhere():
    document = read(seaside())
    used = {entity.dxf.layer for entity in document.modelspace()}
    assert used <= set(COLOURS)
    assert {name.upper() for name in LAYERS} <= {layer.dxf.name for layer in document.layers}


@settings(max_examples=60, deadline=None)
@given(lists(tuples(floats(1, 300), floats(0, math.tau), floats(-5, 5)), min_size=2, max_size=8))
def test_any_chain_of_lines_and_arcs_is_read_back(steps):
    """Each step: how far, which way, and how much the arc turns (a line where that is little)."""
    segments, at = [], (0.0, 0.0)
    for reach, way, turn in steps:
        to = (at[0] + reach * math.cos(way), at[1] + reach * math.sin(way))
        if abs(turn) < 0.5:
            segments.append(Segment(to))
        else:
            rise = reach / 2 / math.tan(turn / 2)  # from the chord's middle to the centre
            centre = (
                (at[0] + to[0]) / 2 - rise * math.sin(way),
                (at[1] + to[1]) / 2 + rise * math.cos(way),
            )
            segments.append(Segment(to, centre, turn > 0))
        at = to
    chain = Chain((0.0, 0.0), tuple(segments))
    space = ezdxf.new().modelspace()
    _add(space, chain, "CUT")
    (entity,) = space
    assert entity_length(entity) == pytest.approx(length(chain), abs=1e-4)
    for part, segment in zip(entity.virtual_entities(), segments, strict=True):
        if segment.centre is not None:
            centre = (part.dxf.center.x, part.dxf.center.y)
            assert centre == pytest.approx(segment.centre, abs=1e-4)


def test_the_entities_are_as_they_were_looked_at():
    space = read(seaside()).modelspace()
    counts = Counter(entity.dxf.layer for entity in space)
    lines = [shown(entity) for entity in space if entity.dxf.layer not in LETTERING]
    letters = [f"{layer} {counts[layer]} entities" for layer in LETTERING]
    assert_golden(
        "\n".join([*lines, *letters, ""]),
        Path(__file__).parent / "golden" / "stencil.dxf.txt",
    )


def shown(entity):
    """One line for one entity; a polyline as x, y and bulge."""
    dxf, kind = entity.dxf, entity.dxftype()
    if kind == "LWPOLYLINE":
        vertices = [f"({x:g}, {y:g}, {bulge:g})" for x, y, bulge in entity.get_points("xyb")]
        return f"{dxf.layer} {kind} closed={entity.closed} {' '.join(vertices)}"
    assert kind == "CIRCLE"
    return f"{dxf.layer} {kind} ({dxf.center.x:g}, {dxf.center.y:g}) r={dxf.radius:g}"


@pytest.mark.parametrize("counterclockwise", [True, False])
def test_a_lone_arc_is_an_arc_whichever_way_it_runs(counterclockwise):
    arc = Chain((10.0, 0.0), (Segment((0.0, 10.0), (0.0, 0.0), counterclockwise),))
    space = ezdxf.new().modelspace()
    _add(space, arc, "CUT")
    (entity,) = space
    assert entity.dxftype() == "ARC"
    assert entity_length(entity) == pytest.approx(length(arc))
    ends = {(round(at.x, 9), round(at.y, 9)) for at in (entity.start_point, entity.end_point)}
    assert ends == {(10, 0), (0, 10)}


def test_a_lone_line_is_a_line_and_a_circle_a_circle_either_way_round():
    space = ezdxf.new().modelspace()
    _add(space, Chain((0.0, 0.0), (Segment((3.0, 4.0)),)), "CUT")
    _add(space, backwards(circle((7.0, 8.0), 2.0)), "CUT")
    line, round_one = space
    assert (line.dxftype(), entity_length(line)) == ("LINE", 5.0)
    assert round_one.dxftype() == "CIRCLE"
    assert (round_one.dxf.center.x, round_one.dxf.center.y, round_one.dxf.radius) == (7, 8, 2)


def test_a_lens_of_two_arcs_is_no_circle():
    lens = Chain((0.0, 0.0), (Segment((8.0, 0.0), (4.0, 3.0)), Segment((0.0, 0.0), (4.0, -3.0))))
    space = ezdxf.new().modelspace()
    _add(space, lens, "CUT")
    (entity,) = space
    assert (entity.dxftype(), entity.closed) == ("LWPOLYLINE", True)
    assert entity_length(entity) == pytest.approx(length(lens))


def test_the_same_stencil_gives_the_same_bytes_and_the_option_is_put_back():
    before = ezdxf.options.write_fixed_meta_data_for_testing
    assert stencil_dxf(seaside()) == stencil_dxf(seaside())
    assert ezdxf.options.write_fixed_meta_data_for_testing == before


def test_a_nearly_full_turn_keeps_its_circle_though_its_chord_is_short():
    """A chord of 0.2 mm of a circle of 50: half a micrometre in its ends would move the circle by
    a hundredth of a millimetre."""
    first, last = (1e-3, 50.0), (0.2, math.sqrt(50.0**2 - 0.2**2))
    first = (first[0], math.sqrt(50.0**2 - first[0] ** 2))
    turned = [(x * math.cos(0.7) - y * math.sin(0.7), x * math.sin(0.7) + y * math.cos(0.7))
              for x, y in (first, last)]  # fmt: skip
    arc = Segment(turned[1], (0.0, 0.0))
    document = ezdxf.new("R2010")
    space = document.modelspace()
    _add(space, Chain(turned[0], (arc, Segment((80.0, 80.0)))), "CUT")
    (polyline,) = space
    arcs = [part for part in polyline.virtual_entities() if part.dxftype() == "ARC"]
    assert sum((each.dxf.end_angle - each.dxf.start_angle) % 360 for each in arcs) > 359
    for each in arcs:
        assert each.dxf.radius == pytest.approx(50.0, abs=1e-6)
        assert each.dxf.center.magnitude < 2e-6
