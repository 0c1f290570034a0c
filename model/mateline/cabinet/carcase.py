"""Carcases: an outline in one view carried over a width, made into panels with their joints.

Stands after specification and joints, before cabinet. Which board lies over which: what `joints`
says; else the ends over all others, and among the others the one that the file names first. At
an inside corner (over 180° through the wood) boards are mitred, so that no end is hidden, and each
owns half of a cove or fillet, which is as long as the boards. Boards that run on in one plane, or
nearly, are butted with square ends.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from mateline.cabinet.bent.cuts import Corner, Wall
from mateline.cabinet.bent.rings import bent, label, ring_of, runs_of, turned_round, walked
from mateline.cabinet.edges.covered import SharedWall
from mateline.cabinet.edges.cuts import with_cuts
from mateline.cabinet.edges.rules import Rules, refuse_idle_finishes
from mateline.cabinet.edges.sound import ALIKE, STRAIGHT, holds_together, unlike_edges
from mateline.cabinet.joints import Round, SectionError, section
from mateline.cabinet.laps import what_fits
from mateline.cabinet.panel import Edge, Frame, Panel, framed, moved_in, vector
from mateline.curves import Chain, Segment
from mateline.errors import Faults
from mateline.products import product

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from mateline.cabinet.joints import Role
    from mateline.cabinet.panel import Run
    from mateline.cabinet.specification import Board, Carcase
    from mateline.tape.arcs.path import Side

    Array = NDArray[np.float64]

ENDS = {"side": ("left", "right"), "plan": ("bottom", "top"), "front": ("front", "back")}


@dataclass(frozen=True, slots=True)
class Placed:
    """A carcase with its outlines where they are: in its view, mm, cabinet frame.

    `low` and `high` are its ends across the view. `mean` is what the panels between the ends
    stand on; `ends` are the outlines of the two ends, which differ where both were measured.
    `corners` are those of `mean`, (n, 2), as if none were rounded.
    """

    carcase: Carcase
    ends: tuple[tuple[Side, ...], tuple[Side, ...]]
    mean: tuple[Side, ...]
    corners: Array
    low: float
    high: float

    def raised(self, points: Array, across: float) -> Array:
        """(n, 2) points of the view, at `across`, in the cabinet frame: (n, 3)."""
        u, v = points.T
        w = np.full(len(points), across)
        columns = {"side": (w, u, v), "plan": (u, v, w), "front": (u, w, v)}[self.carcase.view]
        return np.column_stack(columns)


@dataclass(frozen=True, slots=True)
class _Board:
    """A panel before its joints: corners (m, 3) counter-clockwise from outside."""

    name: str
    thickness: float
    corners: Array
    names: tuple[str | None, ...]
    neighbours: tuple[str, ...]
    angles: tuple[float, ...]  # through the wood, at each edge, radians
    runs: tuple[Run, ...] = ()
    centres: Array | None = None  # (k, 3): of the runs, as they are in space
    bend: Side | None = None  # the curved side that it stands on
    curved: frozenset[int] = frozenset()  # edges at which a curve is met alongside
    # By edge: the corner with a curve there, and is this the later board?
    meets: Mapping[int, tuple[Corner, bool]] = field(default_factory=dict)
    spec: Board | None = None

    @property
    def back(self) -> float:
        """How far its outside lies behind the outline, mm."""
        return 0.0 if self.spec is None else self.spec.set_back

    def short(self, neighbour: str) -> float | None:
        """Where it ends that stops short of a neighbour, from the sharp edge, mm."""
        return None if self.spec is None else dict(self.spec.short).get(neighbour)


@dataclass(frozen=True, slots=True)
class _Meeting:
    """The board across an edge: its name, the angle through the wood, its thickness.

    `back` is how far it lies behind the outline, mm; `short` says that it stops short of this one.
    """

    board: str
    angle: float
    thickness: float
    missing: bool
    back: float = 0.0
    short: bool = False


def panels_of(placed: Placed, faults: Faults, place: str) -> tuple[Panel, ...]:
    """The panels of one carcase, ends first, without holes; what can't be made goes to `faults`."""
    carcase = placed.carcase
    edges = _edges(carcase, placed.mean, faults, place)
    if edges is None:
        return ()
    thick = dict.fromkeys(ENDS[carcase.view], carcase.thickness)
    thick |= {board.name: board.thickness for board in carcase.boards}
    named = [board.name for board in carcase.boards]
    order = [*(name for name in ENDS[carcase.view] if name not in named), *named]
    rules = Rules(carcase, order, ENDS[carcase.view], (faults, place))
    missing = {board.name for board in carcase.boards if board.missing}
    specs = {board.name: board for board in carcase.boards}
    boards = [
        replace(board, spec=specs.get(board.name))
        for board in (*_ends(placed, edges, thick), *_crossings(placed, edges, thick))
    ]
    met = {frozenset((board.name, other)) for board in boards for other in board.neighbours}
    for pair, where in rules.places.items():
        if pair not in met:
            faults.add(where, "These two panels don't meet.", "Name two that share an edge.")
    for board in boards:
        for name, _ in () if board.spec is None else board.spec.short:
            if name not in board.neighbours:
                where = f"{place}, panels, {board.name}, short"
                faults.unknown(where, name, "panel that it meets", board.neighbours)
    by_name = {board.name: board for board in boards}
    found = []
    for board in boards:
        if board.name not in missing:
            panel = _jointed(board, carcase.name, rules, (by_name, missing), faults)
            if panel is not None:
                found.append(panel)
    refuse_idle_finishes(carcase, rules, found, missing, (faults, place))
    return with_cuts(carcase, found, faults)


def shared_walls(placed: Placed) -> tuple[SharedWall, ...]:
    """The boards that a carcase lacks since walls of others stand in their places."""
    carcase = placed.carcase
    shared = {board.name: board for board in carcase.boards if board.shared is not None}
    edges = _edges(carcase, placed.mean, Faults(), "") if shared else None
    if edges is None:
        return ()
    thick = dict.fromkeys((*ENDS[carcase.view], *edges), carcase.thickness)
    boards = (*_ends(placed, edges, thick), *_crossings(placed, edges, thick))
    return tuple(
        SharedWall(
            board.name,
            carcase.name,
            spec.shared,
            board.corners,
            f"{carcase.called}, panels, {board.name}",
        )
        for board in boards
        if (spec := shared.get(board.name)) is not None and spec.shared is not None
    )


def _edges(carcase: Carcase, sides: Sequence[Side], faults: Faults, place: str) -> list[str] | None:
    """The panel on each side of the outline, from the first corner on."""
    pairs = [side.ends for side in sides]
    by_edge: dict[frozenset[str], str] = {}
    good = True
    for board in carcase.boards:
        where = f"{place}, panels, {board.name}"
        if board.name in ENDS[carcase.view]:
            if board.edge is not None:
                faults.add(where, "An end stands on no edge.", "Remove its edge, or rename it.")
                good = False
            continue
        ends, text = frozenset(board.edge or ()), label(board.edge or ())
        if ends not in map(frozenset, pairs):
            listed = [label(pair) for pair in pairs]
            faults.unknown(where, text, "edge of the outline", listed)
            good = False
        elif ends in by_edge:
            faults.add(where, f"{by_edge[ends]} stands on {text} too.", "Keep one of them.")
            good = False
        else:
            by_edge[ends] = board.name
    for pair in pairs:
        if frozenset(pair) not in by_edge and good:
            text = label(pair)
            faults.add(
                f"{place}, panels",
                f"No panel stands on {text}.",
                f'Add one with edge = "{text}"; missing = true where there is no board.',
            )
            good = False
    return [by_edge[frozenset(pair)] for pair in pairs] if good else None


def _ends(placed: Placed, edges: list[str], thick: dict[str, float]) -> list[_Board]:
    boards = []
    # In a front view Y, across the view, runs away from the viewer; in the others towards him.
    low_faces_viewer = placed.carcase.view == "front"
    for index, name in enumerate(ENDS[placed.carcase.view]):
        across = (placed.low, placed.high)[index]
        ring = ring_of(placed.ends[index], edges, max(thick.values()))
        corners = placed.raised(np.array([spot for spot, _, _ in ring]), across)
        names = [corner for _, corner, _ in ring]
        neighbours = [beyond for _, _, beyond in ring]
        runs = runs_of(placed.ends[index], neighbours)
        views = [run.centre or (0.0, 0.0) for run in runs]
        centres = placed.raised(np.array(views).reshape(-1, 2), across)
        if (index == 0) != low_faces_viewer:  # seen from behind the drawing: the other way round
            corners, names = corners[::-1], names[::-1]
            neighbours = [*neighbours[-2::-1], neighbours[-1]]
            if runs:  # a run does not go on past the first corner
                corners, names = np.roll(corners, 1, axis=0), [names[-1], *names[:-1]]
                neighbours = [neighbours[-1], *neighbours[:-1]]
                runs, centres = turned_round(runs, len(neighbours)), centres[::-1]
        square = (math.pi / 2,) * len(neighbours)
        along = frozenset(at for run in runs for at in range(run.first, run.first + run.count))
        boards.append(
            _Board(
                name, thick[name], corners, tuple(names), tuple(neighbours), square, runs, centres,
                curved=along,
            )
        )  # fmt: skip
    return boards


def _crossings(placed: Placed, edges: list[str], thick: dict[str, float]) -> list[_Board]:
    """The boards between the ends, one on each side of the outline."""
    low_end, high_end = ENDS[placed.carcase.view]
    sides, count = placed.mean, len(edges)
    starts = np.array([side.start for side in sides])
    low, high = placed.raised(starts, placed.low), placed.raised(starts, placed.high)
    angles = _corner_angles(sides)
    walls = [Wall(walked(side), thick[name]) for side, name in zip(sides, edges, strict=True)]
    boards = []
    for index, name in enumerate(edges):
        after = (index + 1) % count
        corners = np.array([low[index], low[after], high[after], high[index]])
        neighbours = [low_end, edges[after], high_end, edges[index - 1]]
        across = [math.pi / 2, float(angles[after]), math.pi / 2, float(angles[index])]
        met = [None, (index, after), None, (index - 1, index)]
        alongside = [0, 2] if sides[index].centre is not None else []
        if placed.carcase.view == "front":  # across the view runs away from the viewer
            corners = corners[[1, 0, 3, 2]]
            neighbours = [neighbours[at] for at in (0, 3, 2, 1)]
            across = [across[at] for at in (0, 3, 2, 1)]
            met = [met[at] for at in (0, 3, 2, 1)]
        meets = {
            edge: (Corner(walls[pair[0]], walls[pair[1]]), pair[1] == index)
            for edge, pair in enumerate(met)
            if pair is not None and any(sides[at].centre is not None for at in pair)
        }
        boards.append(
            _Board(
                name, thick[name], corners, (None,) * 4, tuple(neighbours), tuple(across),
                bend=sides[index] if alongside else None,
                curved=frozenset(alongside), meets=meets,
            )
        )  # fmt: skip
    return boards


def _corner_angles(sides: Sequence[Side]) -> Array:
    """Inside angle at each corner of a counter-clockwise outline, radians, 0 to 2 pi.

    Along curves it is that of their tangents.
    """
    points = np.array([side.start for side in sides])
    bends = np.array([side.bend for side in sides]) / 2
    to_next = np.roll(points, -1, axis=0) - points
    to_last = np.roll(points, 1, axis=0) - points
    turn = np.arctan2(to_last[:, 1], to_last[:, 0]) - np.arctan2(to_next[:, 1], to_next[:, 0])
    turn += bends + np.roll(bends, 1)
    angles: Array = np.mod(turn, math.tau)
    return angles


def _jointed(
    board: _Board,
    carcase: str,
    rules: Rules,
    boards: tuple[dict[str, _Board], set[str]],
    faults: Faults,
) -> Panel | None:
    by_name, missing = boards
    edges: list[Edge] = []
    moved: list[float] = []
    for number, (other, angle) in enumerate(zip(board.neighbours, board.angles, strict=True)):
        pair = frozenset((board.name, other))
        where = rules.places.get(pair, f"carcase {carcase}, {board.name} and {other}")
        beyond = by_name[other]
        met = _Meeting(
            other,
            angle,
            beyond.thickness,
            missing=other in missing,
            back=beyond.back,
            short=beyond.short(board.name) is not None,
        )
        moved.append(_moved(met))
        edge = _edge(board, met, rules, faults, (where, number))
        if edge is None:
            return None
        edges.append(edge)
    frame, flat = framed(board.corners)
    if board.back > 0 or any(moved):
        frame, flat = _set_back(board, frame, flat, moved)
    panel = Panel(board.name, carcase, board.thickness, frame, flat, board.names, tuple(edges))
    if board.bend is not None:
        panel = bent(panel, board.bend)
    if board.centres is not None:
        spots = product(
            board.centres - board.corners[0], np.array([frame.along_x, frame.along_y]).T
        )
        centres = [(float(x), float(y)) for x, y in spots]
        panel = replace(
            panel,
            runs=tuple(
                replace(run, centre=centre) for run, centre in zip(board.runs, centres, strict=True)
            ),
        )
    if (wrong := unlike_edges(panel)) is not None:
        faults.add(f"carcase {carcase}, panels, {board.name}", *wrong)
        return None
    if not holds_together(panel):
        smaller = what_fits(panel, holds_together, faults.limit)
        faults.add(
            f"carcase {carcase}, panels, {board.name}",
            f"At {faults.said(board.thickness)} this board has nothing left between its joints"
            f"{', bevels and rounds' if smaller else ''}.",
            smaller or "Check the board's thickness and the outline at its ends.",
        )
        return None
    return panel


def _edge(
    board: _Board, met: _Meeting, rules: Rules, faults: Faults, at: tuple[str, int]
) -> Edge | None:
    """The edge at which `board` meets another one; None with its fault told.

    `at` is what faults call it, and its number.
    """
    where, number = at
    pair = frozenset((board.name, met.board))
    shape = rules.shapes.get(pair)
    short = board.short(met.board) is not None or met.short
    if (short or board.back or met.back) and (number in board.meets or board.bend is not None):
        what = f"{board.name} and {met.board} meet at a curve, where none is set back or short."
        faults.add(where, what, "Let both reach the outline there.")
        return None
    if short:
        return _apart(board, met, rules, faults, where)
    inside = met.angle > math.pi
    role: Role = "free" if met.missing else rules.role(board.name, met.board, inside=inside)
    wrong = _wrong(board, met, (pair in rules.places, shape is not None), (number, role))
    if wrong is not None:
        faults.add(where, *wrong)
        return None
    if abs(met.angle - math.pi) < STRAIGHT:
        return Edge(met.board, section("free", board.thickness, 0.0, math.pi / 2, None))
    try:
        back = 0.0 if met.missing else met.back
        if role == "mitre":  # at an inside corner each runs on to meet the other
            back = 0.0 if inside else max(back, board.back)
        # A board under another one goes on into its rabbet.
        rabbet = rules.rabbets.get(pair, 0.0) if role == "under" else 0.0
        if number in board.meets:
            corner, after = board.meets[number]
            cut = corner.section(role, after=after, rabbet=rabbet)
        else:
            other = met.thickness - rabbet
            cut = section(role, board.thickness, other, met.angle, shape, other_back=back)
    except SectionError as error:
        size = shape.radius if isinstance(shape, Round) else shape.width if shape else 0.0
        room = "" if error.most is None else f" {faults.limit(_below(size * error.most))} fits."
        what = f"This edge can't be made: {error.told(faults.said)}."
        faults.add(where, what, f"Make it smaller.{room}")
        return None
    seen = role in {"over", "free"}
    proud = met.back / math.sin(met.angle) if role == "over" else 0.0
    at_curve = number in board.curved or number in board.meets
    bare = met.missing or proud > 0 or at_curve  # no art runs on in its plane
    finish = rules.end(board.name, met.board, missing=bare) if seen else None
    if finish == "art" and at_curve:  # which is told where ends are looked through
        finish = "base"
    return Edge(met.board, cut, shows_end=role == "over", end=finish, proud=proud)


def _wrong(
    board: _Board, met: _Meeting, said: tuple[bool, bool], at: tuple[int, Role]
) -> tuple[str, str] | None:
    """What is wrong with what is `said` of an edge (anything; a shape), and its remedy."""
    (named, shaped), (number, role) = said, at
    inside, straight = met.angle > math.pi, abs(met.angle - math.pi) < STRAIGHT
    if shaped and (number in board.meets or number in board.curved):
        what = f"{board.name} and {met.board} meet at a curve: no bevel or round is cut there."
        return what, "Remove the shape of this edge."
    if straight:
        return _in_one_plane(board, met, named=named)
    if role == "mitre" and number in board.curved:
        what = f"{board.name} and {met.board} meet along a curve, where boards are not mitred."
        return what, f'Write "{board.name} over {met.board}", or the other way round.'
    if inside and role in {"over", "under"}:
        return "This is an inside corner.", "Its boards are mitred: remove their joint."
    if role == "free" and shaped:
        return f"There is no board {met.board}.", "Remove the shape of this edge."
    return None


def _in_one_plane(board: _Board, met: _Meeting, *, named: bool) -> tuple[str, str] | None:
    if abs(board.back - met.back) > ALIKE and not met.missing:
        what = "These two boards run on in one plane, and one of them is set back."
        return what, "Set both back alike."
    what = "These two boards run on in one plane and are butted square."
    return (what, "Remove their joint and the shape of this edge.") if named else None


def _apart(board: _Board, met: _Meeting, rules: Rules, faults: Faults, where: str) -> Edge | None:
    """The edge of a board that stops short of its neighbour, or that one of it."""
    pair = frozenset((board.name, met.board))
    if pair in rules.joints or pair in rules.shapes:
        what = "One of these two boards stops short of the other: they don't meet."
        faults.add(where, what, "Remove their joint and the shape of this edge.")
        return None
    end = board.short(met.board)
    finish = rules.end(board.name, met.board, missing=True)
    if end is None:
        cut = section("free", board.thickness, 0.0, met.angle, None)
        return Edge(met.board, cut, end=finish, apart=True)
    deepest = (board.thickness * math.cos(met.angle) + met.thickness + met.back) / abs(
        math.sin(met.angle)
    )
    least = max(deepest, (met.thickness + met.back) / abs(math.sin(met.angle)))
    if end < least and not met.missing:
        what = f"It would reach into {met.board}, which takes {faults.said(least)} there."
        faults.add(where, what, "Give the distance from the sharp edge to the end of the board.")
        return None
    cut = Chain((end, 0.0), (Segment((end, board.thickness)),))
    return Edge(met.board, cut, end=finish, apart=True)


def _set_back(
    board: _Board, frame: Frame, flat: tuple[tuple[float, float], ...], moved: list[float]
) -> tuple[Frame, tuple[tuple[float, float], ...]]:
    """The frame and the outline of a board that lies behind the cabinet's outline, or meets one
    that does at an inside corner: `moved` is how far in each edge lies for that.

    Its sharp edges are where its own outside meets those of its neighbours.
    """
    behind = np.array(frame.corner) - board.back * np.array(frame.outward)
    insets = [
        inward
        if abs(angle - math.pi / 2) < ALIKE or abs(angle - math.pi) < STRAIGHT
        else inward + board.back / math.tan(angle)
        for angle, inward in zip(board.angles, moved, strict=True)
    ]
    laid = moved_in(flat, insets) if any(insets) else np.array(flat)
    return replace(frame, corner=vector(behind)), tuple((float(x), float(y)) for x, y in laid)


def _moved(met: _Meeting) -> float:
    """How far in an edge lies since the board beyond an inside corner is set back: less than 0, for
    this one runs on to meet it.
    """
    outside = met.angle - math.pi < STRAIGHT
    return 0.0 if met.missing or outside else met.back / math.sin(met.angle)


def _below(size: float) -> float:
    """A size just under one that does not fit any more, mm."""
    return math.ceil(size * 10 - 1e-6) / 10 - 0.1
