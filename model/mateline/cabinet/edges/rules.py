"""What is specified of the places where two boards meet: joints, shapes of edges, paint of ends.

Stands beside covered, before carcase. Which board lies over which is told in carcase.py.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.cabinet.joints import Bevel, Role, Round
    from mateline.cabinet.panel import Finish, Panel
    from mateline.cabinet.specification import Carcase
    from mateline.errors import Faults


class Rules:
    """What is specified of joints and edges, by the pair of boards that meet."""

    def __init__(
        self, carcase: Carcase, order: list[str], ends: Sequence[str], told: tuple[Faults, str]
    ) -> None:
        (faults, place), self.order, self.ends = told, order, ends
        self.joints: dict[frozenset[str], tuple[str, str]] = {}
        self.shapes: dict[frozenset[str], Bevel | Round] = {}
        self.places: dict[frozenset[str], str] = {}
        self.finishes: dict[frozenset[str], tuple[Finish, str]] = {}
        self.finish: Finish = carcase.ends or "base"
        self.rabbets = {
            frozenset(cut.boards): cut.depth for cut in carcase.cuts if cut.kind == "rabbet"
        }
        for joint in carcase.joints:
            where = joint.place or f"{place}, joints"
            pair = self._pair((joint.first, joint.second), faults, where)
            if pair is None:
                continue
            if pair in self.joints:
                faults.add(where, "This corner has a joint already.", "Keep one of the two.")
            self.joints[pair] = (joint.first, joint.kind)
            self.places[pair] = where
        for edge in carcase.edges:
            where = edge.place or f"{place}, edges"
            pair = self._pair(edge.boards, faults, where)
            if pair is not None:
                self.places[pair] = where
                self.shapes[pair] = edge.shape
        for each in carcase.finishes:
            where = each.place or f"{place}, edges"
            pair = self._pair(each.boards, faults, where)
            if pair is not None:
                self.finishes[pair] = each.finish, where

    def end(self, own: str, other: str, *, missing: bool) -> Finish:
        """How the end of `own` is painted that is seen at `other`."""
        stated = self.finishes.get(frozenset((own, other)))
        if stated is not None:
            return stated[0]
        # No art runs on beyond a board that is not there.
        return "base" if missing and self.finish == "art" else self.finish

    def role(self, own: str, other: str, *, inside: bool) -> Role:
        """How the board `own` meets `other`."""
        first, kind = self.joints.get(frozenset((own, other)), ("", ""))
        if kind == "mitre" or (inside and not kind):
            return "mitre"
        if kind == "over":
            return "over" if first == own else "under"
        ranks = [(name not in self.ends, self.order.index(name)) for name in (own, other)]
        return "over" if ranks[0] < ranks[1] else "under"

    def _pair(self, boards: tuple[str, str], faults: Faults, where: str) -> frozenset[str] | None:
        for name in boards:
            if name not in self.order:
                faults.unknown(where, name, "panel", self.order)
                return None
        return frozenset(boards)


def refuse_idle_finishes(
    carcase: Carcase,
    rules: Rules,
    panels: list[Panel],
    missing: set[str],
    told: tuple[Faults, str],
) -> None:
    """Tell of what is said of ends that nobody sees."""
    faults, place = told
    ends = [(panel, edge) for panel in panels for edge in panel.edges if edge.end is not None]
    seen = {frozenset((panel.name, edge.neighbour)) for panel, edge in ends}
    flush = {
        frozenset((panel.name, edge.neighbour))
        for panel, edge in ends
        if edge.shows_end and edge.proud == 0
    }
    bent = {panel.name for panel in panels if panel.bend is not None}
    flush = {pair for pair in flush if not pair & bent}
    for pair, (finish, where) in rules.finishes.items():
        if pair not in seen:
            what = "No end of a board is seen there: these two don't meet, or are mitred."
            faults.add(f"{where}, end", what, "Remove it, or let one board lie over the other.")
        elif finish == "art" and pair & missing:
            name = min(pair & missing)
            what = f"There is no board {name} whose art could run over this end."
            faults.add(f"{where}, end", what, 'Say end = "base" or "left".')
        elif finish == "art" and pair not in flush:
            what = "The end lies in no other board's plane, so that no art runs on over it."
            faults.add(f"{where}, end", what, 'Say end = "base" or "left".')
    if carcase.ends is not None and not seen:
        what = "It has no effect: no end of a board is seen."
        faults.add(f"{place}, ends", what, "Remove it, or let a board lie over another.")
