import itertools
import math
from collections import Counter, defaultdict
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import shapely
from scipy.optimize import linear_sum_assignment
from scipy.spatial.distance import cdist
from shapely import Point, box

from mateline.curves import Chain, Segment, length
from mateline.drawing.shapes import Shape
from mateline.pattern.pattern import pattern_of
from mateline.stencil.cutting.cut_path import (
    CutPath,
    cut_path,
    ordered,
    stroke_chains,
    travel,
    trims,
)
from mateline.stencil.cutting.euler_trails import _pairs, odd_nodes
from mateline.stencil.cutting.precedence import allowed, held_faces
from mateline.stencil.cutting.tour import Route
from mateline.stencil.cutting.travel import KICKS, WORK, shortened
from mateline.survey import surveyed
from stencils import BOLT, FRONT, board, seaside, striped
from travelling import inner_parts, least_travel

FACE = box(0, 0, 1000, 700)
COLOURS = "abcde"
CABINETS = ("corner-box", "harbour-lights", "harbour-lights-first-try", "quilt")


def drawn(shapes, outline=FACE):
    return pattern_of([Shape(area, colour, "test") for colour, area in shapes], outline, base="a")


@cache
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


SEEDS = range(20)


@cache
def random_path(seed):
    return cut_path(random_pattern(seed))


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


@pytest.mark.parametrize("seed", SEEDS)
def test_every_border_is_cut_once_and_strokes_run_on(seed):
    pattern, path = random_pattern(seed), random_path(seed)
    cut = sorted(border for stroke in path.strokes for border in plain(stroke))
    assert cut == list(range(len(pattern.borders)))
    for stroke in path.strokes:
        for before, after in itertools.pairwise(stroke):
            assert ends(pattern, before)[1] == ends(pattern, after)[0]


@pytest.mark.parametrize("seed", SEEDS)
def test_the_knife_is_lifted_no_more_than_it_must(seed):
    """Euler's bound for each connected part of the borders; the trim joins the last stroke."""
    pattern = random_pattern(seed)
    bound = sum(fewest(pattern, part) for part in parts(pattern, range(len(pattern.borders))))
    trim = {border for ring in trims(pattern) for border in plain(ring)}
    inner = set(range(len(pattern.borders))) - trim
    apart = sum(fewest(pattern, part) for part in parts(pattern, inner))
    strokes = len(random_path(seed).strokes)
    touched = {node for border in trim for node in ends(pattern, border)}
    count = Counter(node for border in inner for node in ends(pattern, border))
    if any(count[node] % 2 for node in touched):  # a stroke may end on the trim
        assert strokes == apart
        assert strokes == bound
    else:
        assert strokes == apart + len(trims(pattern))


@pytest.mark.parametrize("seed", SEEDS)
def test_the_trim_comes_last(seed):
    pattern = random_pattern(seed)
    order = [border for stroke in random_path(seed).strokes for border in plain(stroke)]
    (ring,) = trims(pattern)
    assert set(order[-len(ring) :]) == set(plain(ring))


@pytest.mark.parametrize("seed", SEEDS)
def test_nothing_is_cut_within_a_loop_of_another_part_that_has_let_it_go(seed):
    assert lost(random_pattern(seed), random_path(seed)) == []


@pytest.mark.parametrize("seed", SEEDS)
def test_an_order_is_allowed_where_nothing_is_lost_in_it(seed):
    """Strokes as they were found, and in orders at random; the trim's ring stays last."""
    pattern = random_pattern(seed)
    *strokes, last = random_path(seed).strokes
    (ring,) = trims(pattern)
    strokes += [last[: -len(ring)]] if len(last) > len(ring) else []
    held = held_faces(pattern, part_numbers(pattern))
    rng = np.random.default_rng(seed)
    orders = [strokes, *([strokes[at] for at in rng.permutation(len(strokes))] for _ in range(6))]
    for order in orders:
        fine = lost(pattern, CutPath((*order, ring))) == []
        assert allowed(order, held) == fine


def part_numbers(pattern):
    numbers = {}
    for number, part in enumerate(inner_parts(pattern)):
        numbers |= dict.fromkeys(part, number)
    return numbers


def cells_of(count):
    """Cells of a Voronoi diagram of points at random."""
    rng = np.random.default_rng(3)
    points = shapely.multipoints(rng.uniform(0, (1000, 700), (count, 2)))
    cells = shapely.get_parts(shapely.voronoi_polygons(points, extend_to=FACE))
    return [cell & FACE for cell in cells]


def test_nothing_is_lost_on_a_large_face_with_many_islands():
    """Cells, each of a colour of its own, and a spot within every fourth one."""
    cells = cells_of(250)
    spots = [cell.representative_point().buffer(4) & cell.buffer(-1) for cell in cells[::4]]
    pattern = drawn([*((f"{at}", cell) for at, cell in enumerate(cells)),
                     *(("spot", spot) for spot in spots)])  # fmt: skip
    path = cut_path(pattern)
    assert len(path.strokes) ** 2 * KICKS > WORK
    assert len(pattern.borders) > 400
    assert lost(pattern, path) == []
    *rest, trim = path.strokes
    assert lost(pattern, CutPath((*reversed(rest), trim))) != []


def test_travel_of_a_large_face_is_close_to_the_least_sum_of_links():
    """Each odd node has one link but for two, at the start and at the finish.

    So an assignment of each to another one, solved exactly, and its two longest left out, sums to
    no more than twice the travel.
    """
    pattern = drawn([(f"{at}", cell) for at, cell in enumerate(cells_of(300))])
    odd = [node for part in inner_parts(pattern) for node in odd_nodes(part)]
    ways = cdist(pattern.nodes[odd], pattern.nodes[odd])
    np.fill_diagonal(ways, ways.max() * len(odd))
    taken = np.sort(ways[linear_sum_assignment(ways)])
    path = cut_path(pattern)
    assert len(path.strokes) ** 2 * KICKS > WORK
    assert travel(path, pattern) <= 1.25 * taken[:-2].sum() / 2


def lost(pattern, path):
    """Borders still uncut in a ring that closed borders of another part make around them."""
    lines = [shapely.LineString(border.points) for border in pattern.borders]
    middles = shapely.line_interpolate_point(lines, 0.5, normalized=True)
    home = {}
    for number, part in enumerate(parts(pattern, range(len(pattern.borders)))):
        home |= dict.fromkeys(part, number)
    uncut, found, cut = set(home), [], defaultdict(list)
    for stroke in path.strokes:
        part = home[plain(stroke)[0]]
        uncut -= set(plain(stroke))
        cut[part] += [lines[border] for border in plain(stroke)]
        inside = shapely.union_all(shapely.get_parts(shapely.polygonize(cut[part])))
        others = [border for border in sorted(uncut) if home[border] != part]
        found += [border for border in others if inside.contains(middles[border])]
    return found


def test_a_disc_in_a_ring_cut_after_it_would_be_noticed():
    pattern = drawn([("b", Point(500, 350).buffer(200)), ("c", Point(500, 350).buffer(50))])
    path = cut_path(pattern)
    assert lost(pattern, path) == []
    first, second, trim = path.strokes
    assert lost(pattern, CutPath((second, first, trim))) == plain(first)


@pytest.mark.parametrize("seed", SEEDS[:12])
def test_travel_is_close_to_the_least_of_an_integer_program(seed):
    """Exact for all pairings of odd nodes, but it need not cut inner before outer."""
    pattern = random_pattern(seed)
    bound, solved = least_travel(pattern)
    assert solved
    assert travel(random_path(seed), pattern) <= 1.15 * bound + 1e-6


@pytest.mark.parametrize("seed", SEEDS)
def test_the_cut_is_as_long_as_all_borders(seed):
    pattern = random_pattern(seed)
    chains = [facets(border.points) for border in pattern.borders]
    total = sum(shapely.length(shapely.LineString(border.points)) for border in pattern.borders)
    found = sum(map(length, stroke_chains(random_path(seed), chains)))
    assert found == pytest.approx(total, rel=0, abs=1e-9 * total)


def facets(points):
    start, *rest = map(tuple, points.tolist())
    return Chain(start, tuple(map(Segment, rest)))


def test_an_island_may_be_cut_between_two_strokes_of_its_holder():
    """A grid of four cells with a disc in the first: three cells may be cut before the disc."""
    cells = [(COLOURS[at + 1], box(400 + 100 * (at % 2), 300 + 100 * (at // 2),
                                   500 + 100 * (at % 2), 400 + 100 * (at // 2)))
             for at in range(4)]  # fmt: skip
    pattern = drawn([*cells, ("a", Point(450, 350).buffer(20))])
    (held,) = held_faces(pattern, part_numbers(pattern))
    disc = tuple(held.inside)
    (ring,) = trims(pattern)
    path = cut_path(pattern)
    own = [stroke for stroke in path.strokes if plain(stroke)[0] not in (*disc, *plain(ring))]
    assert len(disc) == 1
    assert len(own) == 2
    found = []
    for strokes in (own, own[::-1]):
        orders = [[*strokes[:at], disc, *strokes[at:]] for at in range(3)]
        found.append([lost(pattern, CutPath((*order, ring))) == [] for order in orders])
        assert [allowed(order, (held,)) for order in orders] == found[-1]
    assert [True, True, False] in found


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
def test_travel_is_the_shortest_of_all_orders(seed):
    """Six strokes in all 6! orders and 2^6 directions, begun anywhere."""
    rng = np.random.default_rng(seed)
    places = [tuple(point) for point in rng.uniform(0, 100, (12, 2)).tolist()]
    borders = {at: (2 * at, 2 * at + 1) for at in range(6)}
    route = Route(borders, places, dict.fromkeys(range(12), 0.0))
    found = shortened([(at,) for at in borders], route)
    best = min(
        walked(order, turned, places)
        for order in itertools.permutations(range(6))
        for turned in itertools.product((0, 1), repeat=6)
    )
    order = plain([stroke[0] for stroke in found])
    turned = {~stroke[0] if stroke[0] < 0 else stroke[0]: int(stroke[0] < 0) for stroke in found}
    assert walked(order, turned, places) == pytest.approx(best)


@pytest.mark.parametrize("seed", range(6))
def test_closed_strokes_begin_where_travel_is_the_shortest(seed):
    """Two rings of four nodes and two open strokes in all orders, directions and beginnings."""
    rng = np.random.default_rng(seed)
    places = [tuple(point) for point in rng.uniform(0, 100, (12, 2)).tolist()]
    borders = {at: (at, at + 1 - 4 * (at % 4 == 3)) for at in range(8)} | {8: (8, 9), 9: (10, 11)}
    route = Route(borders, places, dict.fromkeys(range(12), 0.0))
    found = shortened([(0, 1, 2, 3), (4, 5, 6, 7), (8,), (9,)], route)
    ports = [[(at, at) for at in range(4)], [(at, at) for at in range(4, 8)],
             [(8, 9), (9, 8)], [(10, 11), (11, 10)]]  # fmt: skip
    best = min(
        between(order, places)
        for strokes in itertools.product(*ports)
        for order in itertools.permutations(strokes)
    )
    nodes = {at: pair for border, (a, b) in borders.items() for at, pair in
             ((border, (a, b)), (~border, (b, a)))}  # fmt: skip
    for stroke in found:
        for before, after in itertools.pairwise(stroke):
            assert nodes[before][1] == nodes[after][0]
    order = [(nodes[stroke[0]][0], nodes[stroke[-1]][1]) for stroke in found]
    assert sorted(at for stroke in found for at in plain(stroke)) == list(range(10))
    assert between(order, places) == pytest.approx(best)


def between(order, places):
    return sum(
        math.dist(places[before], places[after])
        for (_, before), (after, _) in itertools.pairwise(order)
    )


def walked(order, turned, places):
    return sum(
        math.dist(places[2 * a + 1 - turned[a]], places[2 * b + turned[b]])
        for a, b in itertools.pairwise(order)
    )


@cache
def faces(name):
    job = surveyed(Path(__file__).parents[3] / "cabinets" / name)
    return [(stencil.pattern, cut_path(stencil.pattern)) for stencil in job.stencils]


@pytest.mark.parametrize("name", CABINETS)
def test_faces_of_cabinets_are_cut_once_with_the_fewest_lifts_and_inner_before_outer(name):
    for pattern, path in faces(name):
        cut = sorted(border for stroke in path.strokes for border in plain(stroke))
        assert cut == list(range(len(pattern.borders)))
        apart = inner_parts(pattern)
        trim = {border for ring in trims(pattern) for border in plain(ring)}
        touched = {node for border in trim for node in ends(pattern, border)}
        count = Counter(node for part in apart for pair in part.values() for node in pair)
        odd = {node for node, number in count.items() if number % 2}
        own = 0 if touched & odd else len(trims(pattern))
        assert len(path.strokes) == sum(fewest(pattern, part) for part in apart) + own
        assert set(plain(path.strokes[-1])[-len(trim) :]) == trim
        assert allowed(path.strokes, held_faces(pattern, part_numbers(pattern)))


@pytest.mark.parametrize("name", CABINETS[:3])
def test_faces_of_cabinets_lose_nothing_and_their_travel_is_close_to_the_least(name):
    for pattern, path in faces(name):
        assert lost(pattern, path) == []
        if len(path.strokes) <= 40:
            bound, solved = least_travel(pattern)
            assert solved
            assert travel(path, pattern) <= 1.15 * bound + 1e-6


def test_the_same_pattern_gives_the_same_path():
    pattern = striped(board("front", FRONT, (600.0, 900.0), holes=(BOLT,)), 9).pattern
    assert cut_path(pattern) == cut_path(pattern)
