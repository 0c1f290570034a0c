"""Outlines as cabinets have them, read with noise and with one reading or two wrong on purpose.

Lengths in mm; slips in inches, as a person misreads a tape. Noise is Gaussian, with the deviation
that graduation and accuracy class give (tests/outside/test_tape_accuracy.py holds those).
"""

import math
from collections import Counter
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np
from scipy.optimize import minimize

from mateline.errors import InputError
from mateline.tape.accuracy import MM, Tape, deviation
from mateline.tape.outline import Outline, solved
from mateline.tape.readings import Readings
from mateline.tape.solving.adjustment import fits
from mateline.tape.solving.approximate import Form, figures
from mateline.tape.solving.network import Network
from mateline.tape.solving.observations import Distance
from mateline.tape.solving.polygon import STRAIGHT, turns

INCH = 25.4
SIXTEENTHS = Tape("in", MM["in"] / 16, "HB44")
SHAKEN = 5  # starts near the true corners that are tried for each rival
EVALUATED = 60  # times that a rival is looked at from each start; one that fits needs about ten
LENGTHS = (-0.9, -0.6, -0.3, 0.0, 0.3, 0.6, 0.9)  # a corner all round the one that holds it
FAR = 8.0  # no unit: a rival that is parted by more deviations is none, whatever its form
SLIPS = (0.5, 1.0, 2.0, 5.0, 8.0, 10.0, 12.0)  # inches


@dataclass(frozen=True)
class Measured:
    """An outline with its true corners, the pairs that are read, and what is over 180°."""

    corners: dict[str, tuple[float, float]]
    pairs: tuple[str, ...]
    reflex: tuple[str, ...] = ()

    def lengths(self, random=None):
        """True distances; with `random`, as read."""
        found = {}
        for a, b in self.pairs:
            true = math.dist(self.corners[a], self.corners[b])
            out = random.normal(0.0, deviation(true, SIXTEENTHS)) if random else 0.0
            found[a, b] = true + out
        return found

    def solved(self, lengths) -> Outline | InputError:
        """What is made of `lengths`: an outline, or why there is none."""
        exact = {pair: Fraction(length) for pair, length in lengths.items()}
        try:
            return solved(
                Readings(tuple(self.corners), exact, reflex=self.reflex),
                SIXTEENTHS, file="f", place="p",
            )  # fmt: skip
        except InputError as error:
            return error


def _with(corners, diagonals, reflex=()):
    names = list(corners)
    sides = [a + b for a, b in zip(names, [*names[1:], names[0]], strict=True)]
    return Measured(corners, (*sides, *diagonals.split()), reflex)


_BOX = {"A": (0, 0), "B": (508, 0), "C": (509, 762), "D": (0, 764)}
OUTLINES = {
    # D---C
    # |   |   one diagonal more than needed, or none
    # A---B
    "box, one diagonal": _with(_BOX, "AC"),
    "box, two diagonals": _with(_BOX, "AC BD"),
    # An upright's side: foot, control shelf, hollow for the screen, head.
    "upright": _with(
        {"A": (0, 0), "B": (600, 0), "C": (610, 1750), "D": (250, 1780), "E": (180, 1500),
         "F": (260, 1150), "G": (-60, 1010), "H": (-70, 820)},
        "AC AD AF BD BF BG BH CE CF CG DF DH", ("F",),
    ),
    "eleven corners": _with(
        {"A": (0, 0), "B": (1200, 0), "C": (1200, 350), "D": (1150, 700), "E": (800, 750),
         "F": (780, 1000), "G": (850, 1700), "H": (700, 1800), "I": (200, 1750), "J": (80, 1000),
         "K": (-20, 500)},
        "AC BK AE CE AF BJ CJ DJ FI FJ GI GJ", ("E", "F", "J"),
    ),
    "octagon": _with(
        {chr(65 + at): (450 * math.cos(math.tau * at / 8), 450 * math.sin(math.tau * at / 8))
         for at in range(8)},
        "AE BF CG DH AC CE EG GA",
    ),
    "wedge": _with(
        {"A": (0, 0), "B": (1320, 0), "C": (1325, 660), "D": (970, 690), "E": (-5, 430)},
        "AC AD BD BE CE",
    ),
}  # fmt: skip


def slipped(measured, random, slips):
    """One outline read with noise and `slips` {pair: inches}."""
    lengths = measured.lengths(random)
    for (a, b), inches in slips.items():
        lengths[a, b] = max(lengths[a, b] + inches * INCH, 1.0)
    return measured.solved(lengths)


def said_of(found, wrong):
    """In a word, what is made of an outline whose readings `wrong` are wrong."""
    if isinstance(found, InputError):
        return _said_of_refusal(found.remedy, wrong)
    if found.more_than_one:
        return "more than one"
    if found.verdict == "cannot-tell":
        listed = {closure.label for closure in found.candidates}
        return "cannot tell" if listed & set(wrong) else "false list"
    if found.suspect is None:
        return "not seen"
    return "right" if found.suspect.label in wrong else "false"


def _said_of_refusal(remedy, wrong):
    if "more than one" in remedy:
        return "more than one"
    if not any(label in remedy for label in wrong):
        return "refused"
    if "write reflex" in remedy:  # the readings fit another form, and the one is named if it is not
        return "right, or another form"
    return "right, refused" if "alone" in remedy else "cannot tell, refused"


def single_blunders(measured, inches, times, seed):
    """One random reading too long or too short by `inches`: (pair, inches, what is said) each.

    One that is hardly longer than that is too long: nobody reads less than an inch for it.
    """
    random, told = np.random.default_rng(seed), []
    for _ in range(times):
        pair = measured.pairs[int(random.integers(len(measured.pairs)))]
        slip = inches * float(random.choice((-1.0, 1.0)))
        if math.dist(*(measured.corners[each] for each in pair)) / INCH + slip < 1.0:
            slip = inches
        found = slipped(measured, random, {tuple(pair): slip})
        told.append((pair, slip, said_of(found, ("-".join(pair),))))
    return told


def double_blunders(measured, times, seed):
    """What is said of two random readings wrong by 1 to 12 inches, either way."""
    random, counted = np.random.default_rng(seed), Counter()
    for _ in range(times):
        rows = random.choice(len(measured.pairs), 2, replace=False)
        pairs = [tuple(measured.pairs[row]) for row in rows]
        sizes = random.uniform(1.0, 12.0, 2) * random.choice((-1.0, 1.0), 2)
        found = slipped(measured, random, dict(zip(pairs, sizes.tolist(), strict=True)))
        counted[said_of(found, tuple("-".join(pair) for pair in pairs))] += 1
    return counted


def clean_networks(measured, times, seed):
    """What is said of readings that are all good."""
    random, counted = np.random.default_rng(seed), Counter()
    for _ in range(times):
        found = measured.solved(measured.lengths(random))
        if isinstance(found, InputError):
            counted["refused"] += 1
        elif found.more_than_one:
            counted["more than one"] += 1
        else:
            counted["closes" if found.verdict == "unchecked" else found.verdict] += 1
    return counted


def separations(measured, pair, inches):
    """How clearly a slip shows, and how clearly it is parted from all other explanations.

    Without noise, in deviations: the roots of the square sums of the whole, and of the nearest
    outline without one of the other readings. Infinite where there is no such outline.
    """
    lengths = measured.lengths()
    lengths[tuple(pair)] = max(lengths[tuple(pair)] + inches * INCH, 1.0)
    observations = tuple(
        Distance(a, b, length, deviation(length, SIXTEENTHS), f"{a}-{b}")
        for (a, b), length in lengths.items()
    )
    form = Form(tuple(measured.corners), frozenset(measured.reflex))
    whole = fits(figures(form, observations), form, observations, ())
    shows = math.sqrt(whole[0].solution.square_sum) if whole else math.inf
    others = [
        rival
        for row in range(len(observations))
        if row != measured.pairs.index(pair)
        for rival in _without(measured, form, observations, row)
    ]
    found = [each.solution.square_sum for each in others
             if form.matches(each.solution.points, STRAIGHT)]  # fmt: skip
    if min(found, default=math.inf) > FAR**2:  # noise may bring others back into the form
        found += [_straightened(form, each) for each in others
                  if each.solution.square_sum < FAR**2]  # fmt: skip
    return shows, math.sqrt(min(found, default=math.inf))


def _without(measured, form, observations, row):
    """Outlines that fit all but one of the observations.

    Where a corner hangs on that one, it may be anywhere the others allow: any other length for it
    that gives an outline is an explanation too.
    """
    rest = observations[:row] + observations[row + 1 :]
    left = observations[row]
    rivals = _rivals(measured, form, rest)
    if not rivals:
        for length in _lengths(measured, rest, left):
            other = replace(left, length=length)
            held = (*observations[:row], other, *observations[row + 1 :])
            rivals += fits(figures(form, held), form, held, ())
    return rivals


def _lengths(measured, rest, left):
    """Lengths that a reading may have by which a corner hangs that only one other holds."""
    for corner, far in ((left.a, left.b), (left.b, left.a)):
        holding = [each for each in rest if corner in (each.a, each.b)]
        if len(holding) == 1:
            (held,) = holding
            beside = held.a if held.b == corner else held.b
            across = math.dist(measured.corners[beside], measured.corners[far])
            yield from (abs(across + share * held.length) for share in LENGTHS)


def _rivals(measured, form, observations):
    """Outlines of any form that fit `observations`, from many starts.

    Figures are starts, and so are the true corners as they are and shaken.
    """
    anyhow = Form(form.corners, None)
    true = np.array(list(measured.corners.values()), dtype=float)
    random, size = np.random.default_rng(11), np.ptp(true, axis=0).max()
    shaken = [true + random.normal(0.0, 0.1 * size, true.shape) for _ in range(SHAKEN)]
    starts = ([true, *shaken], figures(anyhow, observations), figures(form, observations))
    return [fit for some in starts for fit in fits(some, anyhow, observations, (), tries=EVALUATED)]


def _straightened(form, fit):
    """The square sum of the figure nearest to `fit` whose corners turn as they should."""
    points = fit.solution.points
    network = Network(form.corners, fit.observations)
    signs = np.array([-1 if corner in form.reflex else 1 for corner in form.corners])
    shape = points.shape

    def square_sum(at):
        residuals, slopes = network.whitened(at.reshape(shape))
        return float(residuals @ residuals), 2 * slopes.T @ residuals

    held = minimize(
        square_sum, points.ravel(), jac=True, method="SLSQP",
        constraints={
            "type": "ineq",
            "fun": lambda at: turns(at.reshape(shape)) * signs + STRAIGHT,
        },
        options={"maxiter": 300},
    )  # fmt: skip
    return float(held.fun) if held.success else math.inf
