import pytest
from hypothesis import given
from hypothesis.strategies import booleans, floats, lists, none, one_of, tuples

from mateline.curves import Chain, Segment, area, backwards, circle, ring
from mateline.exports.stroke import Recorded, drawn, rings
from stencils import seaside

POINT = tuples(floats(-2000, 2000), floats(-2000, 2000))


def recorded(chain):
    stroke = Recorded()
    drawn(chain, stroke)
    return stroke.calls


def test_a_chain_is_sent_segment_by_segment_and_arcs_stay_arcs():
    chain = Chain((0.0, 0.0), (Segment((2.0, 0.0)), Segment((0.0, 2.0), (0.0, 0.0))))
    assert recorded(chain) == [
        ("start", (0.0, 0.0)),
        ("line", (2.0, 0.0)),
        ("arc", (0.0, 2.0), (0.0, 0.0), True),
        ("end", False),
    ]


def test_a_circle_is_closed():
    assert recorded(circle((5.0, 5.0), 1.0))[-1] == ("end", True)


@given(POINT, lists(tuples(POINT, one_of(none(), POINT), booleans()), min_size=1))
def test_a_chain_walked_backwards_twice_is_sent_as_it_was(start, steps):
    chain = Chain(start, tuple(Segment(*step) for step in steps))
    assert recorded(backwards(backwards(chain))) == recorded(chain)


def test_the_rings_of_a_region_enclose_its_area():
    stencil = seaside()
    for region in stencil.pattern.regions:
        # Facets of an arc stay inside or outside of it by 0.005 mm at most.
        outer, *inner = [area(found) for found in rings(stencil.chains, region)]
        assert outer > 0
        assert all(hole < 0 for hole in inner)
        assert outer + sum(inner) == pytest.approx(region.area.area, abs=0.005 * region.area.length)


def test_borders_that_do_not_follow_each_other_are_a_bug_and_loud():
    with pytest.raises(ValueError, match="part at"):
        ring(seaside().chains, (0, 3))
