"""The order of colours: the user's own, or one with a reason for every place.

Stands after shared_borders, before passes. Three rules, the first that parts two colours decides:

    light before dark     a dark coat hides what strayed onto it, a light one does not
    large before small    less fresh paint lies about while the rest is done
    meeting longest apart of what is still free, colours that meet along long borders do not
                          follow one another, so that board lies on fresh edges least

"Light" and "large" are judged in steps, so that a hair's difference decides nothing: common
practice, no source, as the rules are. The last rule is solved exactly for up to `MOST` free
colours at a time.
"""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING, NamedTuple

from mateline.errors import InputError
from mateline.paint.lightness import lightness

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from mateline.stencil.pieces import Colours
    from mateline.stencil.stencil import Stencil

ALIKE = 10.0  # L*: colours nearer than this to the lightest of a group are as light
TWICE = 2.0  # colours of a group that cover less than this much less than its largest are as large
MOST = 6  # free colours in one go: 720 orders


class Placed(NamedTuple):
    """A colour in the order, and why it is there."""

    colour: str
    why: str


def ordered(
    colours: Colours, areas: Mapping[str, float], shared: Mapping[frozenset[str], float]
) -> tuple[Placed, ...]:
    """The colours of `areas` (mm² by name, without the base coat) in the order to paint them.

    `shared` is the length of border between two colours, mm.
    """
    paints = {name: colours.paints[name] for name in areas}
    groups = _groups(paints, areas)
    order = _apart([group.names for group in groups], shared)
    home = {name: group for group in groups for name in group.names}
    return tuple(
        Placed(name, _why(order[at - 1] if at else None, name, home, areas, shared))
        for at, name in enumerate(order)
    )


def areas_of(stencils: Sequence[Stencil], base: str) -> dict[str, float]:
    """mm² of every colour but the base coat."""
    areas: dict[str, float] = {}
    for stencil in stencils:
        for piece in stencil.pieces:
            if piece.colour != base:
                areas[piece.colour] = areas.get(piece.colour, 0.0) + piece.size
    return areas


def own_order(
    passes: Sequence[str], base: str, areas: Mapping[str, float], file: str = ""
) -> tuple[Placed, ...]:
    """The colours of `areas` in the user's own order; `file` is for messages.

    Raises InputError where it misses a colour, has one twice or the base coat anywhere but first.
    """
    own = list(passes)
    if own and own[0] == base:
        own.pop(0)
    place = "palette, passes"
    if base in own:
        what = f"The base coat {base} lies under everything and is painted first."
        raise InputError(file, place, what, "Take it out of the passes, or put it first.")
    twice = sorted({name for name in own if own.count(name) > 1})
    if twice:
        what = f"{', '.join(twice)} stands there more than once; a colour is one pass."
        raise InputError(file, place, what, "Keep the one place where it belongs.")
    missing = sorted(set(areas) - set(own))
    if missing:
        what = f"The art has {', '.join(missing)}, which no pass paints."
        raise InputError(file, place, what, "Add it where you want it, or leave passes out.")
    return tuple(Placed(name, "Your own order.") for name in own if name in areas)


class Group(NamedTuple):
    """Colours that no rule but the last parts; `light` and `large` number the steps down."""

    light: int
    large: int
    lightness: float  # L* of the lightest colour of its step
    names: tuple[str, ...]


def _groups(paints: Mapping[str, str], areas: Mapping[str, float]) -> list[Group]:
    """Colours in groups from light and large to dark and small."""
    groups: list[Group] = []
    level = {name: lightness(paint) for name, paint in paints.items()}
    by_light = sorted(paints, key=lambda name: (-level[name], name))
    steps = _stepped(by_light, lambda one, name: level[one] - level[name] <= ALIKE)
    for light, alike in enumerate(steps):
        by_area = sorted(alike, key=lambda name: (-areas[name], name))
        sizes = _stepped(by_area, lambda one, name: areas[one] < TWICE * areas[name])
        for large, equal in enumerate(sizes):
            for at in range(0, len(equal), MOST):
                names = sorted(equal[at : at + MOST], key=by_light.index)
                groups.append(Group(light, large, level[alike[0]], tuple(names)))
    return groups


def _stepped(names: Sequence[str], alike: Callable[[str, str], bool]) -> list[list[str]]:
    """`names` parted wherever one is no longer alike the first of its part."""
    parts: list[list[str]] = []
    for name in names:
        if parts and alike(parts[-1][0], name):
            parts[-1].append(name)
        else:
            parts.append([name])
    return parts


def _apart(
    groups: Sequence[Sequence[str]], shared: Mapping[frozenset[str], float]
) -> tuple[str, ...]:
    """Groups in their order; inside them the order with the least border between neighbours.

    Exact over all groups together: for each colour that may come last, the best order so far.
    Of equal orders the one nearest to that of `groups`.
    """
    rank = {name: at for at, name in enumerate(itertools.chain.from_iterable(groups))}
    best: dict[int, tuple[float, tuple[int, ...]]] = {}
    names = list(rank)
    for group in groups:
        here: dict[int, tuple[float, tuple[int, ...]]] = {}
        for order in itertools.permutations(group):
            inner, numbers = _met(order, shared), tuple(rank[name] for name in order)
            found = min(
                (
                    (cost + _met((names[last], order[0]), shared) + inner, (*before, *numbers))
                    for last, (cost, before) in best.items()
                ),
                default=(inner, numbers),
            )
            here[numbers[-1]] = min(found, here.get(numbers[-1], found))
        best = here
    return tuple(names[at] for at in min(best.values(), default=(0.0, ()))[1])


def _met(order: Sequence[str], shared: Mapping[frozenset[str], float]) -> float:
    return sum(shared.get(frozenset(pair), 0.0) for pair in itertools.pairwise(order))


def _why(
    before: str | None,
    name: str,
    home: Mapping[str, Group],
    areas: Mapping[str, float],
    shared: Mapping[frozenset[str], float],
) -> str:
    """Why `name` comes after the colour before it."""
    here = home[name]
    if before is None:
        return f"First: of the lightest colours (L* {here.lightness:.0f}), and of the largest."
    there = home[before]
    if there.light != here.light:
        return (
            f"After {before}: of a darker step (L* from {here.lightness:.0f} down, "
            f"against {there.lightness:.0f})."
        )
    if there.large != here.large:
        return (
            f"After {before}: about as light, and covers less "
            f"({areas[name] / areas[before]:.0%} of its area)."
        )
    met = shared.get(frozenset((before, name)), 0.0)
    part = met / sum(shared.values()) if met else 0.0
    touch = f"{part:.0%} of all borders lie between them" if met else "they don't meet"
    return (
        f"After {before}: about as light and as large; {touch}; this order spares fresh edges most."
    )
