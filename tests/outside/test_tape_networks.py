"""Published networks of distances, solved again: every point to 0.0001, every printed deviation.

Sources stand beside the numbers in tests/networks.py.
"""

import math

import numpy as np
import pytest

import networks
from mateline.tape.solving.network import Distance, HeldEdge, solve
from mateline.tape.solving.statistics import ELLIPSE_95, ellipse, findable_slip, tau_limit
from networks import HUNDREDTH, Published

PRINTED = 0.0001  # metres (feet in one): the last printed digit of a coordinate
PRINTED_DEVIATION = 0.001  # hundredths: the last printed digit of a deviation


def assert_points(network: Published):
    solution = network.solution()
    for name, (x, y, _, _) in network.answers.items():
        assert solution.points[solution.names.index(name)] == pytest.approx((x, y), abs=PRINTED)


def assert_deviations(network: Published):
    solution = network.solution()
    spread = np.sqrt(np.diag(solution.covariance)).reshape(-1, 2) * solution.m0 * HUNDREDTH
    for name, (_, _, sx, sy) in network.answers.items():
        found = spread[solution.names.index(name)]
        assert found == pytest.approx((sx, sy), abs=PRINTED_DEVIATION)


def test_points_of_the_square_panel():
    assert_points(networks.SQUARE_PANEL)


def test_deviations_of_the_square_panel():
    assert_deviations(networks.SQUARE_PANEL)


def test_points_of_the_five_rays():
    assert_points(networks.FIVE_RAYS)


def test_deviations_of_the_five_rays():
    assert_deviations(networks.FIVE_RAYS)


def test_points_far_from_the_origin():
    assert_points(networks.FAR_FROM_THE_ORIGIN)


def test_deviations_far_from_the_origin():
    assert_deviations(networks.FAR_FROM_THE_ORIGIN)


def test_points_of_the_three_rays():
    assert_points(networks.THREE_RAYS)


def test_deviations_of_the_three_rays():
    assert_deviations(networks.THREE_RAYS)


def test_points_of_the_three_rays_free():
    assert_points(networks.THREE_RAYS_FREE)


def test_deviations_of_the_three_rays_free():
    assert_deviations(networks.THREE_RAYS_FREE)


def test_points_of_the_local_network():
    assert_points(networks.LOCAL_NETWORK)


def test_deviations_of_the_local_network():
    assert_deviations(networks.LOCAL_NETWORK)


def test_points_of_the_eight_points_free():
    assert_points(networks.EIGHT_POINTS_FREE)


def test_deviations_of_the_eight_points_free():
    assert_deviations(networks.EIGHT_POINTS_FREE)


def test_the_square_panel_has_its_printed_scatter_of_6_882_mm():
    assert networks.SQUARE_PANEL.solution().m0 * 0.01 == pytest.approx(6.882e-3, abs=5e-7)


def test_the_square_panel_has_its_printed_residuals():
    # Printed magnitudes in centimetres: 0.260 and 0.368.
    printed = (0.260, 0.368, 0.368, 0.260, 0.260)
    residuals = np.abs(networks.SQUARE_PANEL.solution().residuals) * HUNDREDTH
    assert residuals == pytest.approx(printed, abs=0.0005)


def test_the_square_panel_has_w_of_0_688_with_the_sign_of_adjusted_less_observed():
    """w is computed here from the printed residuals, 0.260 and 0.368 cm, over 1 cm sqrt(r)."""
    w = networks.SQUARE_PANEL.solution().w
    assert w == pytest.approx([0.688, -0.688, -0.688, 0.688, 0.688], abs=5e-4)


def test_the_square_panel_has_redundancy_numbers_of_a_seventh_and_two():
    # Closed form: a square with both diagonals; three sides get 1/7 each, two diagonals 2/7.
    numbers = networks.SQUARE_PANEL.solution().redundancy_numbers
    assert numbers == pytest.approx(np.array([1, 2, 2, 1, 1]) / 7, abs=2e-5)


def test_the_square_panel_has_ellipses_that_lean_by_the_arctangent_of_a_half():
    solution = networks.SQUARE_PANEL.solution()
    at = 2 * solution.names.index("4")
    found = ellipse(solution.covariance[at : at + 2, at : at + 2] * solution.m0**2)
    assert math.degrees(found.direction) == pytest.approx(26.565, abs=0.001)
    # Semi-axes 0.009733 and 0.005203 are for one deviation; ours are for 95 %.
    axes = (found.long / ELLIPSE_95, found.short / ELLIPSE_95)
    assert axes == pytest.approx((0.009733, 0.005203), abs=1e-6)


def test_the_square_panel_would_show_slips_of_0_1093_and_0_0773():
    solution = networks.SQUARE_PANEL.solution()
    found = [findable_slip(0.01, float(r)) for r in solution.redundancy_numbers]
    assert found == pytest.approx((0.1093, 0.0773, 0.0773, 0.1093, 0.1093), abs=1e-4)


@pytest.mark.parametrize(
    "network", [networks.SQUARE_PANEL, networks.FAR_FROM_THE_ORIGIN, networks.THREE_RAYS,
                networks.THREE_RAYS_FREE],
)  # fmt: skip
def test_with_one_redundant_distance_every_tau_is_one(network: Published):
    solution = network.solution()
    assert np.abs(solution.w / solution.m0) == pytest.approx(1.0, abs=1e-6)


def test_the_misprint_in_the_eight_points_is_found_with_its_size():
    """The book's list prints 1789.499 where its own answer rests on 1789.449: 5 cm too long."""
    network = networks.EIGHT_POINTS_FREE
    row = network.row("1059", "75")
    wrong = list(network.distances)
    wrong[row] = ("1059", "75", 1789.499, 0.001)
    solution = network.solution(tuple(wrong))
    assert int(np.abs(solution.w).argmax()) == row
    assert solution.slips[row] == pytest.approx(0.0500, abs=0.0002)
    assert np.flatnonzero(np.abs(solution.w / solution.m0) > tau_limit(14)).tolist() == [row]


def test_without_the_misprint_that_distance_fits():
    network = networks.EIGHT_POINTS_FREE
    assert abs(network.solution().w[network.row("1059", "75")]) == pytest.approx(0.09, abs=0.01)


def test_the_local_network_has_its_wildest_distance_at_1_4():
    """Acta Montanistica Slovaca 15 (2010): data snooping; |tau| of 3.146 is computed here."""
    network = networks.LOCAL_NETWORK
    solution = network.solution()
    tau = np.abs(solution.w / solution.m0)
    assert network.distances[int(tau.argmax())][:2] == ("1", "4")
    assert tau.max() == pytest.approx(3.146, abs=0.001)
    assert tau.max() > tau_limit(14)


def test_a_triangle_of_13_14_15_has_height_12():
    """Heron's example: area 84 over the base 14, so the height is 12 and its foot 5 from A."""
    sides = (("A", "B", 14.0), ("B", "C", 15.0), ("A", "C", 13.0))
    observations = [Distance(a, b, length, 0.1, f"{a}-{b}") for a, b, length in sides]
    start = {"A": (0.0, 0.0), "B": (10.0, 0.0), "C": (4.0, 9.0)}
    solution = solve(start, observations, datum=HeldEdge("A", "B"))
    assert solution.points[2] == pytest.approx((5.0, 12.0), abs=1e-9)
