r"""What passes leave on the plane: closed forms, a raster, and pieces really moved about.

The raster knows nothing of offsets of polygons: it measures distances from pixel to pixel. The
moved pieces know nothing of worst cases: each piece comes back somewhere within its play, and
each pass is sprayed from one direction.
"""

import math

import numpy as np
import pytest
import shapely
from scipy.ndimage import distance_transform_edt
from shapely import Point, affinity, box

from mateline.paint.witness.lines import witness_lines
from mateline.paint.witness.shading import painted, widest
from painting import RANK, SIZE, cut, jumble, spread, stripes

LEAN = math.radians(30)
STEP = 0.1  # mm: the raster's pixel
SEEDS = range(6)


def whole(left="red", right="blue", lean_border=0.0):
    """Two colours over the whole face, their border through its middle, tilted."""
    high = 4 * SIZE[1]
    half = box(-high, -high, SIZE[0] / 2, high)
    tilted = affinity.rotate(half, math.degrees(lean_border), origin=(SIZE[0] / 2, SIZE[1] / 2))
    return cut([(box(0, 0, *SIZE), right), (tilted, left)])


def middle(area, tilt):
    """The part of `area` along 40 mm of the border, away from where it ends at the rim."""
    band = box(0, SIZE[1] / 2 - 20, SIZE[0], SIZE[1] / 2 + 20)
    return area & affinity.rotate(band, math.degrees(tilt), origin=(SIZE[0] / 2, SIZE[1] / 2))


@pytest.mark.parametrize("tilt", [0.0, 0.3, -0.7])
@pytest.mark.parametrize(
    "given", [{"play": 0.5}, {"kerf": 0.2, "play": 0.5}, {"kerf": 0.2, "play": 0.5, "angle": LEAN}]
)
def test_a_gap_along_a_straight_border_is_a_strip_of_its_width(tilt, given):
    here = spread(**given)
    found = painted(whole(lean_border=tilt), RANK, here)
    assert middle(found.bare, tilt).area == pytest.approx(40 * here.gap("red", "blue"), abs=1e-6)
    assert found.doubled.area == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("tilt", [0.0, 0.3, -0.7])
def test_a_kerf_alone_is_a_strip_painted_twice(tilt):
    found = painted(whole(lean_border=tilt), RANK, spread(kerf=0.4, bleed=0.1))
    assert middle(found.doubled, tilt).area == pytest.approx(40 * 0.6, abs=1e-6)
    assert found.bare.area == 0.0


def test_a_gap_round_a_disc_is_a_ring():
    # Red inside, then blue: blue's spray stops play + shade outside the disc's cut edge, and
    # red's stops its shade inside it. Facets of the disc and of offsets round it are below 0.1 %.
    disc = Point(150, 50).buffer(30, quad_segs=400)
    found = painted(cut([(box(0, 0, *SIZE), "blue"), (disc, "red")]), RANK,
                    spread(play=0.5, angle=LEAN))  # fmt: skip
    shade = 0.4 * math.tan(LEAN)
    ring = math.pi * ((30 + 0.5 + shade) ** 2 - (30 - shade) ** 2)
    assert found.bare.area == pytest.approx(ring, rel=1e-3)


def test_the_widest_gap_on_a_straight_border_is_that_of_the_closed_form():
    here = spread(kerf=0.2, play=0.9)
    width, _ = widest(painted(whole(), RANK, here).bare, tolerance=1e-3)
    assert width == pytest.approx(0.7, abs=3e-3)


def test_where_three_colours_meet_it_is_wider_than_at_any_border():
    here = spread(play=1.0)
    blocks = [(box(0, 0, 300, 100), "green"), (box(0, 0, 150, 50), "red"),
              (box(150, 0, 300, 50), "blue")]  # fmt: skip
    width, at = widest(painted(cut(blocks), RANK, here).bare)
    assert width > 1.05
    assert at == pytest.approx((150, 50), abs=1.5)


def test_beside_the_base_coat_nothing_is_a_witness_line():
    stencil = cut([(box(50, 20, 250, 80), "red")])
    found = painted(stencil, RANK, spread(angle=LEAN, play=1.0))
    assert found.bare.area == 0.0
    assert widest(found.bare) == (0.0, None)


def test_a_stripe_thinner_than_its_shades_gets_no_paint():
    thin = box(149.9, 0, 150.1, 100)
    stencil = cut([(box(0, 0, *SIZE), "blue"), (thin, "red")])
    found = painted(stencil, RANK, spread(angle=LEAN))
    shade = 0.4 * math.tan(LEAN)
    assert found.bare.area == pytest.approx((0.2 + 2 * shade) * 100, abs=1e-6)


class Raster:
    """A face in pixels. `owner` is the piece under each pixel's middle."""

    def __init__(self, stencil):
        left, low, right, high = stencil.face.outline.bounds
        xs = np.arange(left + STEP / 2, right, STEP)
        ys = np.arange(low + STEP / 2, high, STEP)
        self.x, self.y = np.meshgrid(xs, ys)
        self.pieces = stencil.pieces
        self.owner = np.full(self.x.shape, -1)
        for at, piece in enumerate(stencil.pieces):
            shapely.prepare(piece.area)
            self.owner[shapely.contains_xy(piece.area, self.x, self.y)] = at
        self.colour = np.array([piece.colour for piece in stencil.pieces])[self.owner]

    def inside(self, area):
        """Pixels whose middles are in `area`."""
        shapely.prepare(area)
        return shapely.contains_xy(area, self.x, self.y)

    def board(self, at, kerf):
        """Pixels of piece `at` farther than half a kerf from every other piece."""
        # From a pixel's middle to the border is half a pixel less than to the pixel beyond it.
        away = distance_transform_edt(self.owner == at) * STEP - STEP / 2
        return (self.owner == at) & (away > kerf / 2)

    def near(self, mask, reach):
        """Pixels within `reach` of `mask`."""
        # The mask ends half a pixel beyond the middles of its outermost pixels.
        away = distance_transform_edt(~mask) * STEP - STEP / 2
        return (away <= reach) if mask.any() else mask

    def worst_bare(self, here):
        """Pixels of painted colours that no pass is sure to paint."""
        return (self.coats(here) == 0) & (self.colour != "cream")

    def coats(self, here):
        """How many passes are sure to paint each pixel."""
        count = np.zeros(self.owner.shape, dtype=int)
        for colour in set(self.colour.ravel()) - {"cream"}:
            covered = np.zeros(self.owner.shape, dtype=bool)
            for at, piece in enumerate(self.pieces):
                if piece.colour in {colour, "cream"}:
                    continue
                play = here.play if RANK[piece.colour] < RANK[colour] else 0.0
                covered |= self.near(self.board(at, here.kerf), play + here.shade(colour))
            open_ = ~covered
            count += self.near(open_, here.bleed) if here.bleed else open_
        return count

    def really_bare(self, here, rng):
        """The same after one painting: every piece moved, every pass sprayed from one side."""
        coated = np.zeros(self.owner.shape, dtype=bool)
        for colour in set(self.colour.ravel()) - {"cream"}:
            lean = rng.uniform(0, math.tau)
            covered = np.zeros_like(coated)
            for at, piece in enumerate(self.pieces):
                if piece.colour in {colour, "cream"}:
                    continue
                back = RANK[piece.colour] < RANK[colour]
                reach = here.play * math.sqrt(rng.uniform()) if back else 0.0
                turn = rng.uniform(0, math.tau)
                step = reach * np.array([math.cos(turn), math.sin(turn)])
                board = self.board(at, here.kerf)
                for part in np.linspace(0, here.shade(colour), 5):
                    ray = part * np.array([math.cos(lean), math.sin(lean)])
                    covered |= self._shifted(board, step + ray)
            coated |= ~covered
        return ~coated & (self.colour != "cream")

    def _shifted(self, mask, by):
        dx, dy = np.round(np.asarray(by) / STEP).astype(int)
        rows, columns = mask.shape
        moved = np.zeros_like(mask)
        moved[max(dy, 0) : rows + min(dy, 0), max(dx, 0) : columns + min(dx, 0)] = mask[
            max(-dy, 0) : rows + min(-dy, 0), max(-dx, 0) : columns + min(-dx, 0)
        ]
        return moved


BIG = {"kerf": 0.8, "play": 1.5, "thickness": 1.0, "angle": LEAN}


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("bleed", [0.0, 0.3])
def test_random_patterns_are_bare_where_a_raster_says(seed, bleed):
    # A pixel can't tell whether a point of board as wide as the kerf is still there, so what the
    # raster sees lies between what is told for a kerf a little narrower and a little wider.
    stencil = jumble(seed)
    raster = Raster(stencil)
    seen = raster.worst_bare(spread(**BIG, bleed=bleed))
    most, least = (
        painted(stencil, RANK, spread(**{**BIG, "kerf": BIG["kerf"] + off}, bleed=bleed)).bare
        for off in (-2.5 * STEP, 2.5 * STEP)
    )
    assert not (seen & ~raster.inside(shapely.buffer(most, 2 * STEP))).any()
    assert not (raster.inside(shapely.buffer(least, -2 * STEP)) & ~seen).any()


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("bleed", [0.0, 0.3])
def test_random_patterns_are_painted_twice_where_a_raster_says(seed, bleed):
    wide = {**BIG, "kerf": 3.0, "play": 0.4, "thickness": 0.5}
    stencil = jumble(seed)
    raster = Raster(stencil)
    seen = (raster.coats(spread(**wide, bleed=bleed)) > 1) & (raster.colour != "cream")
    least, most = (
        painted(stencil, RANK, spread(**{**wide, "kerf": 3.0 + off}, bleed=bleed)).doubled
        for off in (-2.5 * STEP, 2.5 * STEP)
    )
    assert least.area > 0
    assert not (seen & ~raster.inside(shapely.buffer(most, 2 * STEP))).any()
    assert not (raster.inside(shapely.buffer(least, -2 * STEP)) & ~seen).any()


def test_a_raster_sees_the_same_area_in_all():
    here = spread(**BIG)
    told = sum(painted(jumble(seed), RANK, here).bare.area for seed in SEEDS)
    seen = sum(Raster(jumble(seed)).worst_bare(here).sum() * STEP**2 for seed in SEEDS)
    # Half a pixel on either side of gaps about 2 mm wide would be 5 %.
    assert seen == pytest.approx(told, rel=0.03)


@pytest.mark.parametrize("seed", SEEDS)
def test_however_pieces_come_back_nothing_is_bare_beyond_what_is_told(seed):
    stencil, here = jumble(seed), spread(**BIG)
    raster = Raster(stencil)
    inside = raster.inside(shapely.buffer(painted(stencil, RANK, here).bare, 2.5 * STEP))
    rng = np.random.default_rng(seed)
    for _ in range(5):
        assert not (raster.really_bare(here, rng) & ~inside).any()


@pytest.mark.parametrize("seed", SEEDS)
def test_the_closed_forms_add_up_to_the_exact_area_but_for_corners(seed):
    stencil, here = jumble(seed), spread(kerf=0.02, play=0.06, angle=0.0)
    lines = witness_lines(stencil, RANK, here)
    strips = sum(line.bare for line in lines)
    # Near each node strips of this width may lap over one another or miss a sharp corner.
    sharp = 40 * here.gap("red", "blue") ** 2 * max(len(stencil.pattern.borders), 1)
    assert painted(stencil, RANK, here).bare.area == pytest.approx(strips, abs=sharp)


def test_stripes_are_bare_along_their_borders_only():
    found = painted(stripes(), RANK, spread(play=0.5))
    assert found.bare.area == pytest.approx(2 * 0.5 * 60, rel=0.02)
    assert len(found.bare.geoms) == 2
