"""Products that are summed in one order: what they are, worked by hand, and their order."""

from fractions import Fraction

import numpy as np
import pytest
from shapely import Polygon

from mateline.products import comparable, determinant, dots, inverted, norm, product, ring_area

A = np.array([[1.0, 2.0], [3.0, 5.0]])


def test_matrices_and_vectors():
    assert product(A, [[1.0, 0.0, 2.0], [0.0, 1.0, 3.0]]).tolist() == [[1, 2, 8], [3, 5, 21]]
    assert product(A, [1.0, 10.0]).tolist() == [21.0, 53.0]
    assert product([1.0, 10.0], A).tolist() == [31.0, 52.0]
    assert product([1.0, 2.0, 3.0], [4.0, 5.0, 6.0]) == 32.0
    assert dots(A, A).tolist() == [5.0, 34.0]
    assert norm([3.0, 4.0]) == 5.0
    assert determinant(A) == -1.0


#  F---E
#  |   |      L: reflex at D
#  |   D---C
#  A-------B
ELL = np.array([(0, 0), (600, 0), (600, 400), (300, 400), (300, 900), (0, 900)], dtype=float)


def test_the_area_of_a_ring_is_signed_and_a_point_said_twice_adds_nothing():
    assert ring_area(ELL) == Polygon(ELL).area == 600 * 400 + 300 * 500
    assert ring_area(ELL[::-1]) == -ring_area(ELL)
    assert ring_area(np.vstack([ELL, ELL[:1]])) == ring_area(np.repeat(ELL, 2, axis=0)) == 390_000


def test_every_product_is_rounded_and_sums_run_in_the_order_of_their_terms():
    # 1e16 + 1 is 1e16 in doubles, so the order shows; (1 + e)² is not kept to the end by a fused
    # multiply and add, so that would show as well: e² is lost in the first rounding.
    assert product([1e16, 1.0, -1e16], [1.0, 1.0, 1.0]) == 0.0
    e = 2.0**-30
    assert product([1.0, 1 + e], [-(1 + 2 * e), 1 + e]) == 0.0
    assert dots(np.array([[1.0, 1 + e]]), np.array([[-(1 + 2 * e), 1 + e]])).tolist() == [0.0]


def test_shapes_that_do_not_fit_are_refused():
    with pytest.raises(ValueError, match=r"no product of shapes \(2, 2\) and \(3,\)"):
        product(A, [1.0, 2.0, 3.0])


@pytest.mark.parametrize("size", [2, 3, 5])
def test_an_inverse_is_the_exact_one_to_the_last_bits(size):
    # the Hilbert matrix, of which the inverse is whole numbers (Choi 1983)
    hilbert = np.array([[1 / (i + j + 1) for j in range(size)] for i in range(size)])
    exact = exactly_inverted([[Fraction(1, i + j + 1) for j in range(size)] for i in range(size)])
    assert inverted(hilbert) == pytest.approx(np.array(exact, dtype=float), rel=1e-10)
    # the largest pivot first: a zero in the corner is no hindrance
    assert inverted(np.array([[0.0, 2.0], [1.0, 0.0]])).tolist() == [[0.0, 1.0], [0.5, 0.0]]


def exactly_inverted(matrix):
    size = len(matrix)
    work = [row + [Fraction(i == j) for j in range(size)] for i, row in enumerate(matrix)]
    for at in range(size):
        work[at] = [x / work[at][at] for x in work[at]]
        for other in range(size):
            if other != at:
                share = work[other][at]
                work[other] = [x - share * y for x, y in zip(work[other], work[at], strict=True)]
    return [row[size:] for row in work]


def test_a_flattened_plane_has_no_inverse():
    with pytest.raises(np.linalg.LinAlgError, match="flattened"):
        inverted(np.array([[1.0, 2.0], [2.0, 4.0]]))


def test_lengths_that_differ_by_rounding_are_equal_to_choose_by():
    assert len({*comparable(np.array([0.1 + 0.2, 0.3, 1000.1 + 1e-12, 1000.1])).tolist()}) == 2
    assert comparable(np.array([1.0, 1.0 + 2e-9])).tolist() == [1.0, 1.000000002]
