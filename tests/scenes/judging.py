"""How far from the truth what was traced is, measured on its own chains.

`judged` samples what was traced and the true borders every `STEP` mm. A sample is on a border when
the other side's is within `REACH`; else it is extra, or missed.
"""

from dataclasses import dataclass

import numpy as np
import shapely

from mateline.curves import flattened
from scenes.wear import sampled

STEP, REACH = 0.5, 2.0  # mm
CLEAR = 1.5  # mm: how far from damage a border has to be to be sound


@dataclass(frozen=True)
class Verdict:
    """rms and worst distance of sound borders, mm; shares of length that are missed (of the sound
    true borders) and extra (of the traced ones); segments of lines and arcs.
    """

    rms: float
    worst: float
    missed: float
    extra: float
    segments: int


def judged(traced, design, wear=None, margin=3.0):
    """Judge a Traced against its design, away from the outline by `margin` mm."""
    truth = design.borders
    inner = [each for each in traced.borders if -1 not in (each.left, each.right)]
    lines = shapely.multilinestrings(
        [shapely.linestrings(flattened(each.chain, 0.002)) for each in inner]
    )
    within = design.outline.buffer(-margin)
    found, true = _samples(lines), _samples(truth)
    found = found[shapely.contains_xy(within, found[:, 0], found[:, 1])]
    true = true[shapely.contains_xy(within, true[:, 0], true[:, 1])]
    if wear is not None:
        found, true = found[_sound(found, wear)], true[_sound(true, wear)]
    shapely.prepare(truth)
    away = shapely.distance(shapely.points(found), truth)
    back = shapely.distance(shapely.points(true), lines)
    near = away < REACH
    return Verdict(
        float(np.sqrt(np.mean(away[near] ** 2))), float(away[near].max()),
        float(np.mean(back >= REACH)), float(np.mean(~near)),
        sum(len(each.chain.segments) for each in inner),
    )  # fmt: skip


def true_segments(design):
    """How many lines and arcs the visible borders of a design have, by the project's own fit."""
    from mateline.borders.refit import refitted

    chains = refitted(design.pattern, 0.02).chains
    return sum(
        len(chain.segments) for chain, each in zip(chains, design.pattern.borders, strict=True)
        if -1 not in (each.left, each.right)
    )  # fmt: skip


def labels_right(labels, design, wear):
    """Shares of pixels whose colour is right: of all, of the sound, of the damaged, and of those
    that are at least 0.9 sure; and how many of all those are.
    """
    rows, columns = labels.numbers.shape
    column, row = np.meshgrid(np.arange(columns), np.arange(rows))
    places = labels.grid.places(np.column_stack([column.ravel(), row.ravel()]).astype(float))
    truth = true_numbers(design, places, labels.colours)
    asked = truth >= 0
    right = labels.numbers.ravel() == truth
    hurt = np.maximum(sampled(wear.wood, wear, places), sampled(wear.scratch, wear, places)) > 0.5
    sure = labels.sureness.ravel() >= 0.9
    return {
        "all": float(right[asked].mean()),
        "sound": float(right[asked & ~hurt].mean()),
        "damaged": float(right[asked & hurt].mean()) if (asked & hurt).any() else 1.0,
        "sure": float(right[asked & sure].mean()) if (asked & sure).any() else 1.0,
        "sure share": float(sure[asked].mean()),
    }


def true_numbers(design, places, colours):
    """Numbers in `colours` of the true colour at places (n, 2), -1 outside the outline."""
    numbers = np.full(len(places), -1)
    for region in design.pattern.regions:
        left, low, right, up = region.area.bounds
        at = np.flatnonzero(
            (places[:, 0] > left)
            & (places[:, 0] < right)
            & (places[:, 1] > low)
            & (places[:, 1] < up)
        )
        inside = at[shapely.contains_xy(region.area, places[at, 0], places[at, 1])]
        numbers[inside] = colours.index(region.colour)
    return numbers


def _samples(lines):
    spots = []
    for line in shapely.get_parts(lines):
        count = max(1, int(line.length / STEP))
        spots.append(
            shapely.get_coordinates(
                shapely.line_interpolate_point(
                    line, (np.arange(count) + 0.5) / count, normalized=True
                )
            )
        )
    return np.vstack(spots)


def _sound(spots, wear):
    """Whether nothing is damaged within CLEAR of each place."""
    sound = np.ones(len(spots), dtype=bool)
    for angle in np.linspace(0, 2 * np.pi, 8, endpoint=False):
        for reach in (0.0, CLEAR / 2, CLEAR):
            at = spots + reach * np.array([np.cos(angle), np.sin(angle)])
            sound &= (sampled(wear.wood, wear, at) < 0.02) & (
                sampled(wear.scratch, wear, at) < 0.02
            )
    return sound
