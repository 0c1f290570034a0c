"""Random cabinets, the same for the same number everywhere: definitions and their drawings.

    write_cabinet(seed, folder)   a whole cabinet.toml and its SVG drawings
    definition(seed)              the text of the definition and the texts of the drawings, by name

Boxes, wedges, uprights, tables and stands; joints, bevels and rounds, readings that agree but for
the tape, hardware, art with waves, circles, letters and strokes, boards with and without a bed and
a knife. Most can be built; some can't, and must be refused in words.
"""

import json
import math
import random
from dataclasses import dataclass, field, replace

INK = ("#1f7a7c", "#e4633f", "#26456e", "#e9b44c", "#7d9d4f")
UNITS = {"mm": (1.0, "1 mm"), "cm": (10.0, "1 mm"), "in": (25.4, "1/16")}
NAMES = "ABCDEFGH"
# Block letters as polylines of strokes on a grid 4 wide and 6 high.
LETTERS = {
    "A": [(0, 0), (1.6, 6), (2.4, 6), (4, 0), (3, 0), (2.6, 1.6), (1.4, 1.6), (1, 0)],
    "L": [(0, 0), (0, 6), (1, 6), (1, 1), (4, 1), (4, 0)],
    "T": [(1.5, 0), (1.5, 5), (0, 5), (0, 6), (4, 6), (4, 5), (2.5, 5), (2.5, 0)],
    "Z": [(0, 0), (0, 1), (2.6, 5), (0, 5), (0, 6), (4, 6), (4, 5), (1.4, 1), (4, 1), (4, 0)],
}


@dataclass
class Draft:
    """A cabinet in the making. Lengths in mm until they are written."""

    chance: random.Random
    unit: str
    lines: list[str] = field(default_factory=list)
    drawings: dict[str, str] = field(default_factory=dict)

    def said(self, length):
        """A length in the file's unit, as near as the tape's marks are."""
        if self.unit != "in":
            return f"{round(length) / UNITS[self.unit][0]:g}"
        sixteenths = round(length / 25.4 * 16)
        whole, rest = divmod(abs(sixteenths), 16)
        text = f"{whole} {rest}/16" if rest else f"{whole}"
        return json.dumps(text if sixteenths >= 0 else f"-{text}")

    def add(self, *lines):
        self.lines.extend(lines)


@dataclass(frozen=True)
class Carcase:
    """What was drawn: corners in the view, mm, and the panel on the edge from each."""

    name: str
    view: str
    points: list[tuple[float, float]]
    panels: list[str]
    width: float
    board: float
    missing: str = ""

    @property
    def there(self):
        """The panels that there are, the ends twice as likely."""
        return [*self.ends, *self.ends, *(each for each in self.panels if each != self.missing)]

    @property
    def ends(self):
        return {
            "side": ("left", "right"),
            "plan": ("bottom", "top"),
            "front": ("front", "back"),
        }[self.view]

    def size(self, panel):
        """About how wide and high a face is, mm."""
        across = [max(axis) - min(axis) for axis in zip(*self.points, strict=True)]
        if panel in self.ends:
            return across[0], across[1]
        at = self.panels.index(panel)
        edge = math.dist(self.points[at], self.points[(at + 1) % len(self.points)])
        return (edge, self.width) if self.view == "plan" else (self.width, edge)

    def beside(self, panel):
        """The panels beyond two edges of a face that are not in line."""
        if panel in self.ends:
            return self.panels[0], self.panels[1]
        at = self.panels.index(panel)
        return self.ends[0], self.panels[at - 1]


def definition(seed):
    """The text of cabinet.toml, and of the drawings by name."""
    chance = random.Random(seed)  # noqa: S311  not for secrets
    draft = Draft(chance, chance.choice(["mm", "mm", "cm", "in"]))
    carcases = _carcases(draft)
    head = [
        f'title = "Random {seed}"\n[tape]',
        f'unit = "{draft.unit}"\ngraduation = {json.dumps(UNITS[draft.unit][1])}',
        f'accuracy = "{chance.choice(["I", "II", "III"])}"',
        "[palette]",
        'base = "cream"\n[palette.colours]',
        'cream = { paint = "#f4ead2", letter = "C" }',
        *(f'ink-{at} = {{ paint = "{paint}", letter = "{"TRNYG"[at]}" }}' for at, paint in
          enumerate(INK)),
        *_stencil(draft),
    ]  # fmt: skip
    body, draft.lines = draft.lines, []
    _hardware(draft, carcases)
    _art(draft, carcases)
    return "\n".join([*head, *body, *draft.lines, ""]), dict(draft.drawings)


def write_cabinet(seed, folder):
    """Write the cabinet of `seed` into `folder`, which is made where it is not there."""
    text, drawings = definition(seed)
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in {"cabinet.toml": text, **drawings}.items():
        (folder / name).write_text(content, encoding="utf-8")
    return folder


def _stencil(draft):
    chance = draft.chance
    lines = ["[stencil]"]
    if sheet := chance.choice([None, (762, 1016), (500, 700), (420, 300)]):
        lines.append(f"sheet = [{draft.said(sheet[0])}, {draft.said(sheet[1])}]")
    if chance.random() < 0.4:
        bed = chance.choice([(610, 914), (400, 600), (300, 300), (150, 250)])
        lines.append(f"bed = [{draft.said(bed[0])}, {draft.said(bed[1])}]")
    if chance.random() < 0.3:
        lines.append(f'radii = "{chance.choice(["inch", "mm"])}"')
    if chance.random() < 0.2:
        lines.append(f'paper = "{chance.choice(["A4", "A3", "Letter", "Tabloid"])}"')
    if chance.random() < 0.7:
        offset = chance.choice(["0.25 mm", "0.5 mm", "1 mm"])
        lines.append(
            f'knife = {{ offset = "{offset}", depth = "0.6 mm", swivel_depth = "0.1 mm" }}'
        )
    return lines


# ---------------------------------------------------------------- the wood


def _carcases(draft):
    chance = draft.chance
    kind = chance.choice(["box", "wedge", "upright", "table", "table", "stand"])
    made = {
        "box": _box,
        "wedge": _wedge,
        "upright": _upright,
        "table": _table,
        "stand": _stand,
    }[kind](chance)
    missing = chance.choice(made.panels) if chance.random() < 0.15 else ""
    first = replace(made, missing=missing)
    found = [first]
    _write(draft, first, "")
    if first.view == "side" and chance.random() < 0.25:
        top = max(range(len(first.points)), key=lambda at: _level(first, at))
        long = math.dist(first.points[top], first.points[(top + 1) % len(first.points)])
        if long > 120:
            x, y = long * chance.uniform(0.6, 0.9), chance.uniform(120, 300)
            points = [(0, 0), (x, 0), (x, y), (0, y)]
            head = Carcase("head", "side", points, ["bottom", "back", "top", "front"], 300, 15)
            edge = f"{NAMES[top]}-{NAMES[(top + 1) % len(first.points)]}"
            found.append(head)
            _write(draft, head, f'stands_on = {{ carcase = "{first.name}", edge = "{edge}" }}')
    return found


def _level(carcase, at):
    first, second = carcase.points[at][1], carcase.points[(at + 1) % len(carcase.points)][1]
    return (first + second) / 2 - abs(second - first) * 10


def _box(chance):
    x, y = chance.uniform(200, 700), chance.uniform(200, 700)
    off = [chance.uniform(-3, 3) for _ in range(4)]
    points = [(0, 0), (x, off[0]), (x + off[1], y), (off[2], y + off[3])]
    return Carcase("box", "side", points, ["bottom", "back", "top", "front"], *_size(chance))


def _wedge(chance):
    x, low, high = chance.uniform(400, 900), chance.uniform(120, 300), chance.uniform(320, 500)
    shelf = chance.uniform(120, x / 2.5)
    points = [(0, 0), (x, 0), (x, high), (x - shelf, high), (0, low)]
    panels = ["bottom", "back", "shelf", "top", "front"]
    return Carcase("body", "side", points, panels, *_size(chance))


def _upright(chance):
    """A stepped side: a lip, a deck, and a crown that leans."""
    depth, deck, tall = (
        chance.uniform(400, 600),
        chance.uniform(300, 500),
        chance.uniform(800, 1300),
    )
    step = chance.uniform(120, depth - 200)
    lean = chance.uniform(-60, 90)
    points = [
        (0, 0), (depth, 0), (depth, tall), (step + lean, tall), (step, deck),
        (0, deck - chance.choice([0, 0, 40])),
    ]  # fmt: skip
    panels = ["bottom", "back", "crown", "wall", "deck", "front"]
    return Carcase("side", "side", points, panels, *_size(chance))


def _table(chance):
    count = chance.randint(4, 8)
    reach, start = chance.uniform(200, 350), chance.uniform(0, math.tau)
    uneven = chance.random() < 0.5
    points = []
    for at in range(count):
        turn = start + math.tau * (at + (chance.uniform(-0.2, 0.2) if uneven else 0)) / count
        points.append((reach * math.cos(turn), reach * math.sin(turn)))
    low = [min(axis) for axis in zip(*points, strict=True)]
    points = [(x - low[0], y - low[1]) for x, y in points]
    width, board = _size(chance)
    return Carcase("table", "plan", points, [f"w{at}" for at in range(count)], width / 2, board)


def _stand(chance):
    x, y, lean = chance.uniform(300, 600), chance.uniform(300, 700), chance.uniform(10, 60)
    points = [(0, 0), (x, 0), (x - lean, y), (lean, y)]
    return Carcase("stand", "front", points, ["bottom", "right", "top", "left"], *_size(chance))


def _size(chance):
    return chance.uniform(220, 600), chance.choice([12.0, 15.0, 18.0, 19.0])


def _write(draft, carcase, standing):
    chance, said = draft.chance, draft.said
    names = list(NAMES[: len(carcase.points)])
    draft.add(
        "[[carcase]]",
        f'name = "{carcase.name}"',
        f'view = "{carcase.view}"',
        f"corners = {json.dumps(names)}",
        f"width = {said(carcase.width)}",
        f"board = {json.dumps(f'{carcase.board:g} mm')}",
    )
    if standing:
        draft.add(standing)
    joints = _joints(chance, carcase)
    if joints:
        draft.add(f"joints = {json.dumps(joints)}")
    edges = _edges(chance, carcase)
    if edges:
        draft.add(f"edges = {{ {', '.join(edges)} }}")
    _measured(draft, carcase, names)
    draft.add("[carcase.panels]")
    for at, panel in enumerate(carcase.panels):
        gone = ", missing = true" if panel == carcase.missing else ""
        draft.add(f'{panel} = {{ edge = "{names[at]}-{names[(at + 1) % len(names)]}"{gone} }}')


def _joints(chance, carcase):
    found = []
    for at, panel in enumerate(carcase.panels):
        if chance.random() < 0.2:
            other = carcase.panels[(at + 1) % len(carcase.panels)]
            first, second = (panel, other) if chance.random() < 0.5 else (other, panel)
            found.append(f"{first} {chance.choice(['over', 'mitre'])} {second}")
    return found


def _edges(chance, carcase):
    """Rounds and bevels, most of them alike; some too large, or where there can be none."""
    found = []
    usual = chance.choice([None, "round", "bevel"])
    size = chance.choice([3.0, 6.0, 9.5, 12.7])
    limit = carcase.board - 1 if chance.random() < 0.98 else 99.0
    for end in carcase.ends:
        for panel in carcase.panels:
            if usual and panel != carcase.missing and chance.random() < 0.5:
                kind = usual if chance.random() < 0.9 else chance.choice(["round", "bevel"])
                own = min(size if chance.random() < 0.8 else chance.uniform(1, 14), limit)
                found.append(f'"{end} and {panel}" = {{ {kind} = "{own:.2f} mm" }}')
    for at, panel in enumerate(carcase.panels):
        other = carcase.panels[(at + 1) % len(carcase.panels)]
        if chance.random() < 0.1 and carcase.missing not in {panel, other}:
            kind = chance.choice(["round", "bevel"])
            found.append(f'"{panel} and {other}" = {{ {kind} = "{chance.uniform(2, 12):.2f} mm" }}')
    return found


def _measured(draft, carcase, names):
    chance = draft.chance
    if chance.random() < 0.3:
        draft.add("[carcase.outline.points]")
        for name, (x, y) in zip(names, carcase.points, strict=True):
            draft.add(f"{name} = [{draft.said(x)}, {draft.said(y)}]")
        return
    inside = [name for at, name in enumerate(names) if _turns_in(carcase.points, at)]
    apart = carcase.view == "side" and chance.random() < 0.25
    for side in ("left", "right") if apart else ("outline",):
        if inside:
            draft.add(f"[carcase.{side}]", f"reflex = {json.dumps(inside)}")
        draft.add(f"[carcase.{side}.readings]")
        for first, second in _taken(chance, len(names)):
            true = math.dist(carcase.points[first], carcase.points[second])
            slip = chance.uniform(-0.4, 0.4)
            if chance.random() < 0.01:
                slip += chance.choice([-12, 12])
            draft.add(f"{names[first]}-{names[second]} = {draft.said(true + slip)}")


def _turns_in(points, at):
    (ax, ay), (bx, by), (cx, cy) = (points[(at + step) % len(points)] for step in (-1, 0, 1))
    return (bx - ax) * (cy - by) - (by - ay) * (cx - bx) < 0


def _taken(chance, count):
    """All sides, the diagonals from the first corner, and some more."""
    sides = [(at, (at + 1) % count) for at in range(count)]
    fan = [(0, at) for at in range(2, count - 1)]
    others = [(a, b) for a in range(1, count) for b in range(a + 2, count) if (a, b) not in sides]
    return [*sides, *fan, *chance.sample(others, min(len(others), chance.randint(0, 3)))]


# ---------------------------------------------------------------- hardware


def _hardware(draft, carcases):
    chance = draft.chance
    used = set()
    for number in range(chance.randint(0, 5)):
        carcase = chance.choice(carcases)
        panel = chance.choice(carcase.there)
        if (carcase.name, panel) in used and chance.random() < 0.95:
            continue
        used.add((carcase.name, panel))
        near = min(carcase.size(panel))
        reach = near * chance.uniform(0.04, 0.14)
        draft.add(
            "[[hardware]]",
            f'name = "part {number}"',
            f'on = "{carcase.name}-{panel}"',
            "from = { "
            + ", ".join(
                f"{each} = {draft.said(near * chance.uniform(0.25, 0.5))}"
                for each in carcase.beside(panel)
            )
            + " }",
            *_kind(chance, reach),
        )
        if chance.random() < 0.5:
            draft.add('state = "stays"', f'margin = "{chance.choice([0, 1, 3])} mm"')
        if panel == "left" and chance.random() < 0.5:
            draft.add("both_sides = true")
            used.add((carcase.name, "right"))
        elif chance.random() < 0.2:
            pitch = 2.2 * max(reach, 8.0) + 6
            draft.add(f'row = {{ count = {chance.randint(2, 3)}, pitch = "{pitch:.1f} mm" }}')


def _kind(chance, reach):
    """Hardware that reaches about as far from its middle, mm; a bolt is as large as it is."""
    kind = chance.choice(["round", "slot", "rectangle", "bolt", "countersunk"])
    lines = [f'kind = "{kind}"']
    if kind == "round":
        lines.append(f'diameter = "{2 * reach:.1f} mm"')
    elif kind in {"bolt", "countersunk"}:
        lines.append(f'size = "{chance.choice(["M6", "M8", "1/4"])}"')
    else:
        lines += [f'length = "{1.8 * reach:.1f} mm"', f'width = "{0.8 * reach:.1f} mm"']
        lines.append(f"turn = {chance.choice([0, 90, 30])}")
        if kind == "rectangle":
            lines.append(f'corner = "{chance.choice([0, 0.2, 0.3]) * reach:.1f} mm"')
    return lines


# ---------------------------------------------------------------- art


def _art(draft, carcases):
    chance = draft.chance
    for number in range(chance.randint(1, 4)):
        carcase = chance.choice(carcases)
        panel = chance.choice(carcase.there)
        wide, high = carcase.size(panel)
        name = f"art-{number}.svg"
        way = chance.random()
        draft.add("[[art]]", f'drawing = "{name}"')
        if way < 0.15 and carcase.view == "side":
            at = chance.choice(["left", "front", "top"])
            draft.add(f'cast = "{at}"')
        elif way < 0.4:
            chain = _chain(chance, carcase, panel)
            wide *= len(chain)
            draft.add(f"wrap = {json.dumps([f'{carcase.name}-{each}' for each in chain])}")
            draft.add(f"offset = [{draft.said(chance.uniform(0, 60))}, 0]")
        else:
            draft.add(f'on = "{carcase.name}-{panel}"')
            if chance.random() < 0.7:
                draft.add('anchor = "centre"', 'to = "centre"')
            if chance.random() < 0.3:
                draft.add(f"turn = {chance.uniform(-180, 180):.2f}")
        draft.drawings[name] = drawing(chance, wide * chance.uniform(0.4, 1.1), high * 0.9)
        if way >= 0.4 and panel == "left" and chance.random() < 0.5:
            draft.add("[[art]]", f'mirror = "{carcase.name}-left"')


def _chain(chance, carcase, panel):
    """Two faces that meet."""
    if panel in carcase.ends:
        return [panel, chance.choice([each for each in carcase.panels if each in carcase.there])]
    after = carcase.panels[(carcase.panels.index(panel) + 1) % len(carcase.panels)]
    return [panel, carcase.ends[0] if after == carcase.missing else after]


def drawing(chance, wide, high):
    """An SVG drawing about `wide` by `high` mm: waves, circles, letters, stars, strokes."""
    parts = []
    for _ in range(chance.randint(3, 14)):
        make = chance.choice([_wave, _wave, _disc, _letter, _star, _ribbon, _stroke, _blob])
        parts.append(make(chance, wide, high))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.3f}mm" height="{high:.3f}mm" '
        f'viewBox="0 0 {wide:.3f} {high:.3f}">\n' + "\n".join(parts) + "\n</svg>\n"
    )


def wave(x, y, length, rise, count):
    """Path data of a wave: `count` point-symmetric S-curves from (x, y) on to the right."""
    step = length / count
    bend = f"c{step / 2:.3f} {rise:.3f} {step / 2:.3f} {-rise:.3f} {step:.3f} 0"
    return " ".join([f"M{x:.3f} {y:.3f}", *[bend] * count])


def _fill(chance):
    return f'fill="{chance.choice([*INK, "#f4ead2"])}"'


def _spot(chance, wide, high):
    return chance.uniform(0.05, 0.95) * wide, chance.uniform(0.05, 0.95) * high


def _wave(chance, wide, high):
    _, y = _spot(chance, wide, high)
    count, rise = chance.randint(1, 6), chance.uniform(10, high / 2)
    top = wave(0, y, wide, rise, count)
    return f'<path {_fill(chance)} d="{top} V{high:.3f} H0 Z"/>'


def _disc(chance, wide, high):
    (x, y), reach = _spot(chance, wide, high), chance.uniform(6, 0.3 * min(wide, high))
    return f'<circle {_fill(chance)} cx="{x:.3f}" cy="{y:.3f}" r="{reach:.3f}"/>'


def _letter(chance, wide, high):
    (x, y), unit = _spot(chance, wide, high), chance.uniform(6, 14)
    corners = LETTERS[chance.choice(sorted(LETTERS))]
    points = " ".join(f"{x + unit * a:.3f},{y - unit * b:.3f}" for a, b in corners)
    return f'<polygon {_fill(chance)} points="{points}"/>'


def _star(chance, wide, high):
    (x, y), reach = _spot(chance, wide, high), chance.uniform(25, 0.4 * min(wide, high) + 26)
    count, deep = chance.randint(4, 9), chance.uniform(0.4, 0.8)
    points = []
    for at in range(2 * count):
        turn, long = math.pi * at / count, reach * (deep if at % 2 else 1)
        points.append(f"{x + long * math.sin(turn):.3f},{y - long * math.cos(turn):.3f}")
    return f'<polygon {_fill(chance)} points="{" ".join(points)}"/>'


def _ribbon(chance, wide, high):
    """An S-shaped ribbon: an S-curve there, and the same one moved down back."""
    y, rise = chance.uniform(0.2, 0.7) * high, chance.uniform(20, high)
    broad = chance.uniform(8, 40)
    mid, low = wide / 2, y + broad
    there = f"M0 {y:.3f} C{mid:.3f} {y - rise:.3f} {mid:.3f} {y + rise:.3f}"
    back = f"C{mid:.3f} {low + rise:.3f} {mid:.3f} {low - rise:.3f} 0 {low:.3f}"
    path = f"{there} {wide:.3f} {y:.3f} V{low:.3f} {back} Z"
    return f'<path {_fill(chance)} d="{path}"/>'


def _stroke(chance, wide, high):
    (ax, ay), (bx, by) = _spot(chance, wide, high), _spot(chance, wide, high)
    ends, ink = chance.choice(["butt", "round", "square"]), chance.choice(INK)
    broad = chance.uniform(5, 20)
    return (
        f'<path fill="none" stroke="{ink}" stroke-width="{broad:.2f}" '
        f'stroke-linecap="{ends}" d="M{ax:.3f} {ay:.3f} L{bx:.3f} {by:.3f}"/>'
    )


def _blob(chance, wide, high):
    """A rounded box with elliptic corners, turned."""
    x, y = _spot(chance, wide, high)
    a, b = chance.uniform(30, 120), chance.uniform(20, 80)
    return (
        f'<rect {_fill(chance)} x="{x:.3f}" y="{y:.3f}" width="{a:.3f}" height="{b:.3f}" '
        f'rx="{a / 5:.3f}" ry="{b / 4:.3f}" transform="rotate({chance.uniform(0, 90):.2f} {x:.3f} '
        f'{y:.3f})"/>'
    )
