import itertools
import math
from collections import Counter

import numpy as np
import pytest
import shapely
from shapely import Point, box

from mateline.artwork.pattern import pattern_of
from mateline.artwork.shapes import Shape
from mateline.curves import length
from mateline.stencil.cutpath import cut_path, ordered, stroke_chains, travel, trims
from mateline.stencil.eulertrails import _pairs
from mateline.stencil.travel import Route, shortened
from stencils import BOLT, FRONT, board, seaside, striped

FACE = box(0, 0, 1000, 700)
COLOURS = "abcde"


def drawn(shapes, outline=FACE):
    return pattern_of([Shape(area, colour, "test") for colour, area in shapes], outline, base="a")


def random_pattern(seed):
    """Discs and bands in five colours, some across the edge, on a face with a hole."""
    rng = np.random.default_rng(seed)
    discs = [
        (COLOURS[rng.integers(5)], Point(*rng.uniform(0, (1000, 700))).buffer(rng.uniform(8, 160)))
        for _ in range(rng.integers(3, 40))
    ]
    bands = [
        (COLOURS[rng.integers(5)], box(0, y, 1000, y + rng.uniform(10, 60)))
        for y in rng.uniform(0, 640, 2)
    ]
    return drawn([*bands, *discs], FACE - Point(500, 350).buffer(30))


RANDOM = [random_pattern(seed) for seed in range(30)]


def ends(pattern, border):
    found = pattern.borders[border if border >= 0 else ~border]
    return (found.start, found.end) if border >= 0 else (found.end, found.start)


def plain(stroke):
    return [border if border >= 0 else ~border for border in stroke]


def parts(pattern, borders):
    """Connected parts, as sets of borders, found by growing one from any border."""
    left, found = set(borders), []
    while left:
        part = {left.pop()}
        nodes = set(ends(pattern, next(iter(part))))
        while True:
            more = {border for border in left if nodes & set(ends(pattern, border))}
            if not more:
                break
            part |= more
            left -= more
            nodes |= {node for border in more for node in ends(pattern, border)}
        found.append(part)
    return found


def fewest(pattern, part):
    """Euler's bound for a connected part."""
    count = Counter(node for border in part for node in ends(pattern, border))
    return max(1, sum(number % 2 for number in count.values()) // 2)


@pytest.mark.parametrize("pattern", RANDOM)
def test_every_border_is_cut_once_and_strokes_run_on(pattern):
    path = cut_path(pattern)
    cut = sorted(border for stroke in path.strokes for border in plain(stroke))
    assert cut == list(range(len(pattern.borders)))
    for stroke in path.strokes:
        for before, after in itertools.pairwise(stroke):
            assert ends(pattern, before)[1] == ends(pattern, after)[0]


@pytest.mark.parametrize("pattern", RANDOM)
def test_the_knife_is_lifted_no_more_than_it_must(pattern):
    """Euler's bound for each connected part of the borders; the trim joins the last stroke."""
    bound = sum(fewest(pattern, part) for part in parts(pattern, range(len(pattern.borders))))
    trim = {border for ring in trims(pattern) for border in plain(ring)}
    inner = set(range(len(pattern.borders))) - trim
    apart = sum(fewest(pattern, part) for part in parts(pattern, inner))
    strokes = len(cut_path(pattern).strokes)
    touched = {node for border in trim for node in ends(pattern, border)}
    count = Counter(node for border in inner for node in ends(pattern, border))
    if any(count[node] % 2 for node in touched):  # a stroke may end on the trim
        assert strokes == apart
        assert strokes == bound
    else:
        assert strokes == apart + len(trims(pattern))


@pytest.mark.parametrize("pattern", RANDOM)
def test_the_trim_comes_last(pattern):
    order = [border for stroke in cut_path(pattern).strokes for border in plain(stroke)]
    (ring,) = trims(pattern)
    assert set(order[-len(ring) :]) == set(plain(ring))


@pytest.mark.parametrize("pattern", RANDOM)
def test_what_lies_inside_a_region_is_cut_before_its_outer_border(pattern):
    order = [border for stroke in cut_path(pattern).strokes for border in plain(stroke)]
    when = {border: at for at, border in enumerate(order)}
    home = {}
    for number, part in enumerate(parts(pattern, range(len(pattern.borders)))):
        home |= dict.fromkeys(part, number)
    for region in pattern.regions:
        outer, *inner = (plain(loop) for loop in region.loops)
        for loop in inner:
            if home[loop[0]] != home[outer[0]]:
                assert max(when[b] for b in loop) < min(when[b] for b in outer)


def test_islands_within_islands_are_cut_from_the_innermost():
    shapes = [(COLOURS[at % 2 + 1], Point(500, 350).buffer(300 - 50 * at)) for at in range(5)]
    pattern = drawn(shapes)
    path = cut_path(pattern)
    sizes = [shapely.length(shapely.linestrings(pattern.borders[plain(stroke)[0]].points))
             for stroke in path.strokes]  # fmt: skip
    assert sizes == sorted(sizes)
    assert len(sizes) == 6


def test_the_strokes_are_as_long_as_all_borders():
    stencil = seaside()
    path = cut_path(stencil.pattern)
    total = sum(length(chain) for chain in stencil.chains)
    assert sum(map(length, ordered(path, stencil.chains))) == pytest.approx(total, abs=1e-9)
    assert sum(map(length, stroke_chains(path, stencil.chains))) == pytest.approx(total, abs=1e-9)


def test_the_seaside_takes_three_strokes():
    """Bolt and sun, one each; then the wave from edge to edge and round the trim."""
    path = cut_path(seaside().pattern)
    assert [sorted(plain(stroke)) for stroke in path.strokes] == [[4], [3], [0, 1, 2]]
    assert plain(path.strokes[-1])[0] == 2


def test_a_face_in_two_parts_has_its_trims_one_after_the_other():
    pattern = drawn([("b", Point(200, 350).buffer(80))], FACE - box(400, -1, 600, 701))
    path = cut_path(pattern)
    assert len(trims(pattern)) == 2
    assert len(path.strokes) == 3


def test_one_bare_face_is_one_stroke():
    path = cut_path(drawn([]))
    assert len(path.strokes) == 1
    assert travel(path, drawn([])) == 0


@pytest.mark.parametrize("seed", range(12))
def test_pairs_are_close_to_the_best_pairing(seed):
    points = np.random.default_rng(seed).uniform(0, 100, (8, 2))

    def total(pairs):
        return sum(math.dist(points[a], points[b]) for a, b in pairs)

    best = min(total(pairs) for pairs in pairings(tuple(range(8))))
    found = _pairs(points)
    assert sorted(at for pair in found for at in pair) == list(range(8))
    assert total(found) <= 1.35 * best


def pairings(items):
    """Every way to pair up `items`."""
    if not items:
        yield ()
        return
    first, *rest = items
    for at, other in enumerate(rest):
        for pairs in pairings((*rest[:at], *rest[at + 1 :])):
            yield ((first, other), *pairs)


@pytest.mark.parametrize("seed", range(10))
def test_travel_is_close_to_the_shortest_of_all_orders(seed):
    """Six strokes in all 6! orders and 2^6 directions."""
    rng = np.random.default_rng(seed)
    places = [tuple(point) for point in rng.uniform(0, 100, (12, 2)).tolist()]
    borders = {at: (2 * at, 2 * at + 1) for at in range(6)}
    route = Route(borders, places)
    found = shortened([[(at,)] for at in borders], route, (0.0, 0.0))
    best = min(
        walked(order, turned, places)
        for order in itertools.permutations(range(6))
        for turned in itertools.product((0, 1), repeat=6)
    )
    order = plain([stroke[0] for stroke in found])
    turned = {~stroke[0] if stroke[0] < 0 else stroke[0]: int(stroke[0] < 0) for stroke in found}
    assert walked(order, turned, places) <= 1.15 * best


def walked(order, turned, places):
    total, at = 0.0, (0.0, 0.0)
    for border in order:
        total += math.dist(at, places[2 * border + turned[border]])
        at = places[2 * border + 1 - turned[border]]
    return total


def test_the_same_pattern_gives_the_same_path():
    pattern = striped(board("front", FRONT, (600.0, 900.0), holes=(BOLT,)), 9).pattern
    assert cut_path(pattern) == cut_path(pattern)
