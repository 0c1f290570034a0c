"""Random flat drawings, the same for a seed on every machine: what people draw, and worse.

Waves that are point-symmetric, circles, ellipses, Béziers, edges that touch or nearly coincide,
hairs, bow-ties and noise, in views from a hundredth of a unit to a hundred thousand.
"""

import math
import random
from dataclasses import dataclass

COLOURS = ("#aa0000", "#0044aa", "#ffcc00", "#117733", "#000000", "#ffffff")
VIEWS = (
    (300.0, 200.0, 'width="300mm" height="200mm"'),
    (640.0, 480.0, ""),
    (640.0, 480.0, 'width="400mm" height="300mm"'),
    (72.0, 72.0, ""),
    (0.02, 0.01, 'width="200mm" height="100mm"'),
    (1e5, 8e4, 'width="500mm" height="400mm"'),
)


@dataclass(frozen=True)
class Room:
    """Where shapes are made, and the step of its coordinates as they will be printed."""

    wide: float
    high: float
    grid: float


def drawing(seed):
    """The text of one SVG file."""
    dice = random.Random(seed)  # noqa: S311  # drawings, not keys
    wide, high, size = dice.choices(VIEWS, (6, 2, 4, 1, 1, 1))[0]
    unit = wide / 300  # everything is made for a view 300 wide
    decimals = max(0, dice.choice((1, 2, 3, 6)) - math.floor(math.log10(unit)))
    room = Room(300.0, 300 * high / wide, 10.0**-decimals / unit)
    parts = [one for _ in range(dice.randint(1, 7)) for one in _shapes(dice, room)]
    paths = [
        f'<path fill="{dice.choice(COLOURS)}" fill-rule="{dice.choice(("nonzero", "evenodd"))}" '
        f'd="{_data(part, unit, decimals)}"/>'
        for part in parts
    ]
    if dice.random() < 0.5:
        paths.insert(0, f'<rect width="{wide:f}" height="{high:f}" fill="{dice.choice(COLOURS)}"/>')
    head = f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="0 0 {wide:f} {high:f}">'
    return "\n".join([head, *paths, "</svg>", ""])


def _data(part, unit, decimals):
    """Path data of (command, numbers) pairs; an arc's three flags are no lengths."""
    words = []
    for command, *numbers in part:
        for at, number in enumerate(numbers):
            flag = command == "A" and at in {2, 3, 4}
            numbers[at] = f"{number:g}" if flag else f"{number * unit:.{decimals}f}"
        words.append(command + " ".join(numbers))
    return "".join(words)


def _shapes(dice, room):
    make = dice.choices(
        (_wave, _band, _circle, _ellipse, _blob, _polygon, _traced, _tangent, _twice, _bow_ties,
         _hair, _lens, _stadium),
        (6, 4, 3, 2, 4, 3, 3, 2, 4, 1, 2, 2, 2),
    )[0]  # fmt: skip
    return make(dice, room)


def _place(dice, room):
    return dice.uniform(-0.1, 1.1) * room.wide, dice.uniform(-0.1, 1.1) * room.high


def _line(points):
    return [("M", *points[0]), *(("L", *point) for point in points[1:]), ("Z",)]


def _turned(points, angle, at):
    cos, sin = math.cos(angle), math.sin(angle)
    return [(at[0] + x * cos - y * sin, at[1] + x * sin + y * cos) for x, y in points]


def _swing(dice):
    """An odd function on -1 .. 1, 0 at both ends: with it, every stretch is an S."""
    kind = dice.randrange(4)
    if kind == 0:
        return lambda t: math.sin(math.pi * t)
    if kind == 1:
        return lambda t: t * (1 - t * t)
    if kind == 2:
        return lambda t: math.sin(math.pi * t) * abs(math.sin(math.pi * t))
    return lambda t: max(-0.25, min(0.25, t if abs(t) < 0.5 else math.copysign(1 - abs(t), t)))


def _wave(dice, room):
    """A shape with one side an S about its chord, in few vertices or many."""
    half, depth = dice.uniform(2, 120), dice.uniform(1, 60)
    swing = _swing(dice)
    lift = dice.choice((0.01, 0.03, 0.1, 1.0, 10.0)) * dice.uniform(0.5, 2)
    count = dice.choice((4, 6, 8, 12, 24, 48, 100))
    rim = [(half * t, lift * swing(t)) for t in (2 * step / count - 1 for step in range(count + 1))]
    rim += [(half, depth), (-half, depth)]
    angle = dice.choice((0.0, 0.0, math.pi / 2, dice.uniform(0, math.tau)))
    rim = _turned(rim, angle, (0.0, 0.0))
    if dice.random() < 0.7:  # as it is printed, it is symmetric to the last digit
        at, *rim = ([round(v / room.grid) * room.grid for v in p]
                    for p in (_place(dice, room), *rim))  # fmt: skip
    else:
        at = _place(dice, room)
    return [_line([(at[0] + x, at[1] + y) for x, y in rim])]


def _band(dice, room):
    """A wavy band across the view with S-shaped Béziers."""
    wide, low, tall = room.wide, dice.uniform(0, room.high), dice.uniform(1, 60)
    lift, count = dice.uniform(0.02, 30), dice.randint(1, 6)
    step = wide / count

    def curve(y, way):
        parts, x = [], 0.0 if way > 0 else wide
        for _ in range(count):
            parts.append(("C", x + way * step / 3, y - lift, x + way * step * 2 / 3, y + lift,
                          x + way * step, y))  # fmt: skip
            x += way * step
        return parts

    return [[("M", 0.0, low), *curve(low, 1), ("L", wide, low + tall), *curve(low + tall, -1),
             ("Z",)]]  # fmt: skip


def _ring(x, y, rx, ry, lean=0.0):
    cos, sin = rx * math.cos(math.radians(lean)), rx * math.sin(math.radians(lean))
    return [("M", x - cos, y - sin), ("A", rx, ry, lean, 0, 1, x + cos, y + sin),
            ("A", rx, ry, lean, 0, 1, x - cos, y - sin), ("Z",)]  # fmt: skip


def _circle(dice, room):
    reach = dice.choice((0.05, 0.5, 5, 20, 60)) * dice.uniform(0.5, 2)
    x, y = _place(dice, room)
    return [_ring(x, y, reach, reach)]


def _ellipse(dice, room):
    x, y = _place(dice, room)
    return [_ring(x, y, dice.uniform(1, 80), dice.uniform(0.2, 60), round(dice.uniform(0, 90)))]


def _blob(dice, room):
    x, y = _place(dice, room)
    size = dice.choice((1, 10, 60, 150))
    some = [
        (x + dice.uniform(-size, size), y + dice.uniform(-size, size))
        for _ in range(3 * dice.randint(1, 5) + 1)
    ]
    curves = [("C", *a, *b, *c) for a, b, c in zip(some[1::3], some[2::3], some[3::3], strict=True)]
    return [[("M", *some[0]), *curves, ("Z",)]]


def _polygon(dice, room):
    count, reach = dice.randint(3, 9), dice.uniform(1, 100)
    star = dice.choice((1.0, 1.0, 0.4))
    rim = [
        (reach * (star if step % 2 else 1) * math.cos(math.tau * step / count),
         reach * (star if step % 2 else 1) * math.sin(math.tau * step / count))
        for step in range(count)
    ]  # fmt: skip
    return [_line(_turned(rim, dice.uniform(0, 7), _place(dice, room)))]


def _traced(dice, room):
    """A smooth outline with a tracer's noise."""
    count, reach = dice.choice((20, 60, 200)), dice.uniform(3, 80)
    noise = dice.choice((0.002, 0.01, 0.03, 0.3))
    lobes = dice.randint(2, 5)
    rim = []
    for step in range(count):
        angle = math.tau * step / count
        far = reach * (1 + 0.2 * math.cos(lobes * angle)) + dice.gauss(0, noise)
        rim.append((far * math.cos(angle), far * math.sin(angle)))
    return [_line(_turned(rim, 0.0, _place(dice, room)))]


def _tangent(dice, room):
    """Two circles that touch from outside or inside, or all but touch; and a line along one."""
    x, y = _place(dice, room)
    big, small = dice.uniform(3, 60), dice.uniform(1, 40)
    miss = dice.choice((0.0, 1e-6, -1e-6, 0.003, -0.003, 0.015, 0.05))
    way = dice.uniform(0, 7)
    far = dice.choice((big + small, abs(big - small))) + miss
    other = _ring(x + far * math.cos(way), y + far * math.sin(way), small, small)
    edge = [(x - big, y + big + miss), (x + big, y + big + miss), (x, y + 2 * big)]
    return [_ring(x, y, big, big), other, *([_line(edge)] if dice.random() < 0.4 else [])]


def _twice(dice, room):
    """A shape, and the same again a hair beside it or turned a little."""
    (first, *rest) = dice.choice((_wave, _circle, _blob, _polygon, _traced))(dice, room)
    dx, dy = (dice.choice((0.0, 1e-7, 1e-4, 0.004, 0.02, 0.06)) for _ in range(2))
    moved = []
    for command, *numbers in first:
        tail = numbers[-2:] if command == "A" else numbers
        shifted = [n + (dx, dy)[at % 2] for at, n in enumerate(tail)]
        moved.append((command, *(numbers[:-2] if command == "A" else ()), *shifted))
    return [first, moved, *rest]


def _bow_ties(dice, room):
    """Two bow-ties with the same corners, each the other's complement in their box."""
    x, y = _place(dice, room)
    a, b = dice.uniform(1, 90), dice.uniform(1, 90)
    one = [(x, y), (x + a, y + b), (x + a, y), (x, y + b)]
    other = [(x, y), (x + a, y), (x, y + b), (x + a, y + b)]
    return [_line(one), _line(other)]


def _hair(dice, room):
    long, thin = dice.uniform(2, 200), dice.choice((1e-5, 0.001, 0.01, 0.02, 0.03, 0.1))
    rim = [(0, 0), (long, 0), (long, thin), (0, dice.choice((0.0, thin)))]
    return [_line(_turned(rim, dice.choice((0.0, 0.3, 1.3)), _place(dice, room)))]


def _lens(dice, room):
    """Two arcs that meet in sharp tips."""
    x, y = _place(dice, room)
    long = dice.uniform(2, 150)
    one, two = (long * dice.choice((0.51, 0.7, 2, 20, 300)) for _ in range(2))
    return [[("M", x, y), ("A", one, one, 0, 0, 1, x + long, y),
             ("A", two, two, 0, 0, dice.randrange(2), x, y), ("Z",)]]  # fmt: skip


def _stadium(dice, room):
    """A rounded box: lines tangent to arcs."""
    x, y = _place(dice, room)
    r = dice.choice((0.01, 0.3, 3, 10))
    a, b = 2 * r + dice.uniform(0, 100), 2 * r + dice.uniform(0, 60)
    return [[("M", x + r, y), ("L", x + a - r, y), ("A", r, r, 0, 0, 1, x + a, y + r),
             ("L", x + a, y + b - r), ("A", r, r, 0, 0, 1, x + a - r, y + b), ("L", x + r, y + b),
             ("A", r, r, 0, 0, 1, x, y + b - r), ("L", x, y + r), ("A", r, r, 0, 0, 1, x + r, y),
             ("Z",)]]  # fmt: skip
