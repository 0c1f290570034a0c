"""Small traced faces: closed borders in a face of 200 by 100 mm."""

from mateline.capture.fitting.planarity import tiled
from mateline.capture.traced import Traced, TracedBorder, TracedRegion
from mateline.curves import Chain, Segment
from mateline.pattern.tiling import Tiling

ERROR = 0.02


def rim(right):
    corners = ((200.0, 0.0), (200.0, 100.0), (0.0, 100.0), (0.0, 0.0))
    return TracedBorder(Chain((0.0, 0.0), tuple(map(Segment, corners))), -1, -1, right, -1)


def islands(*chains):
    """Closed chains, counter-clockwise, in a face of 200 by 100 mm."""
    borders = [rim(0), *(TracedBorder(chain, -1, -1, at + 1, 0, (), ERROR)
                         for at, chain in enumerate(chains))]  # fmt: skip
    loops = tuple((~(at + 1),) for at in range(len(chains)))
    regions = [TracedRegion("ground", ((0,), *loops))]
    regions += [TracedRegion("ink", ((at + 1,),)) for at in range(len(chains))]
    return Traced((), tuple(borders), tuple(regions))


def sound(made):
    tiling, wrong = tiled(made.borders, made.regions)
    return tiling == Tiling(0.0, 0.0, 0) and len(wrong) == 0


def polygon(*points):
    return Chain(points[-1], tuple(map(Segment, points)))
