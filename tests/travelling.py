"""The least travel of any cut path, by an integer program: the reference for ours.

It knows the strokes' number, that their ends at odd nodes may be paired freely as long as all
hangs together, and that the last one ends on the trim where any can. It doesn't know that inner
comes before outer; so it is a lower bound, and where nothing lies in anything it is the optimum.

A cut path and its links are one Euler trail of all parts. Odd nodes take one link each; a part
without odd nodes takes two, both at one node of it. Two dummy links of no length stand for the
start and the finish. All hangs together when at least two links leave every set of parts; such
cuts are added where a solution lacks them (Dantzig, Fulkerson and Johnson 1954).
"""

import time

import numpy as np
from scipy.optimize import LinearConstraint, milp
from scipy.sparse import coo_array, csr_array

from mateline.stencil.cutting.cut_path import trims
from mateline.stencil.cutting.euler_trails import odd_nodes


def plain(border):
    return border if border >= 0 else ~border


def inner_parts(pattern):
    """Connected parts without the trim: dictionaries of border to its two nodes."""
    trim = {plain(at) for ring in trims(pattern) for at in ring}
    home = {}

    def top(node):
        while home.setdefault(node, node) != node:
            node = home[node]
        return node

    ends = {at: (border.start, border.end) for at, border in enumerate(pattern.borders)
            if at not in trim}  # fmt: skip
    for a, b in ends.values():
        home[top(a)] = top(b)
    found = {}
    for at, pair in ends.items():
        found.setdefault(top(pair[0]), {})[at] = pair
    return list(found.values())


class Ports:
    """Nodes where strokes may end, their points, parts, and what ending there costs."""

    def __init__(self, pattern, groups):
        node, part, even = [], [], []
        for number, group in enumerate(groups):
            odd = odd_nodes(group)
            nodes = odd or sorted({node for pair in group.values() for node in pair})
            node += nodes
            part += [number] * len(nodes)
            even += [not odd] * len(nodes)
        self.part, self.even = np.array(part), np.array(even)
        self.points = pattern.nodes[node]
        trim = {plain(at) for ring in trims(pattern) for at in ring}
        borders = [pattern.borders[at] for at in trim]
        rim = sorted({node for border in borders for node in (border.start, border.end)})
        self.ending = np.isin(node, rim) & ~self.even
        ways = np.linalg.norm(self.points[:, None] - pattern.nodes[rim][None], axis=2).min(axis=1)
        self.finish = np.zeros(len(node)) if self.ending.any() else ways
        if not self.ending.any():
            self.ending[:] = True


def least_travel(pattern, seconds=6.0):
    """A lower bound of travel, mm, and whether it is reached when inner need not be first."""
    groups = inner_parts(pattern)
    if not groups:
        return 0.0, True
    program = _Program(Ports(pattern, groups), len(groups))
    stop = time.monotonic() + seconds
    bound = 0.0
    while time.monotonic() < stop:
        solved = program.solved(stop - time.monotonic())
        bound = max(bound, solved.mip_dual_bound or 0.0)
        if solved.status != 0:
            break
        loose = program.pieces(solved.x)
        if len(loose) == 1:
            return bound, True
        for parts in loose:
            program.leave(parts)
    return bound, False


class _Program:
    """Variables: links, starts, finishes, and for ports of even parts whether they are used."""

    def __init__(self, ports, parts):
        self.ports, self.parts = ports, parts
        count = len(ports.part)
        a, b = np.triu_indices(count, 1)
        same = ports.even[a] & ports.even[b] & (ports.part[a] == ports.part[b])
        self.a, self.b = a[~same], b[~same]
        self.links = len(self.a)
        used = np.flatnonzero(ports.even)
        ways = np.linalg.norm(ports.points[self.a] - ports.points[self.b], axis=1)
        self.costs = np.r_[ways, np.zeros(count), ports.finish, np.zeros(len(used))]
        self.most = np.r_[np.ones(self.links + count), ports.ending, np.ones(len(used))]
        size, tips = len(self.costs), self.links + np.arange(count)
        each = np.arange(self.links)
        rows = np.r_[self.a, self.b, np.arange(count), np.arange(count), used]
        columns = np.r_[each, each, tips, tips + count,
                        self.links + 2 * count + np.arange(len(used))]  # fmt: skip
        values = np.r_[np.ones(2 * self.links + 2 * count), np.full(len(used), -2.0)]
        meeting = coo_array((values, (rows, columns)), (count, size))
        wanted = np.where(ports.even, 0.0, 1.0)
        self.rules = [LinearConstraint(meeting, wanted, wanted)]
        one = [np.isin(np.arange(size), tips), np.isin(np.arange(size), tips + count)]
        for part in np.unique(ports.part[used]):
            row = np.zeros(size)
            row[self.links + 2 * count + np.flatnonzero(ports.part[used] == part)] = 1
            one.append(row)
        self.rules.append(LinearConstraint(csr_array(np.array(one, dtype=float)), 1, 1))
        self.cuts = []
        for part in range(parts):
            self.leave({part})

    def leave(self, parts):
        """At least two links leave these parts."""
        inside = np.isin(self.ports.part, sorted(parts))
        rest = np.zeros(len(self.costs) - self.links - 2 * len(inside))
        self.cuts.append(np.r_[inside[self.a] != inside[self.b], inside, inside, rest])

    def solved(self, seconds):
        cuts = LinearConstraint(csr_array(np.array(self.cuts, dtype=float)), 2, np.inf)
        return milp(self.costs, integrality=np.ones(len(self.costs)), bounds=(0, self.most),
                    constraints=[*self.rules, cuts],
                    options={"time_limit": seconds, "mip_rel_gap": 1e-6})  # fmt: skip

    def pieces(self, found):
        """Sets of parts that links hold together."""
        home = np.arange(self.parts)
        for at in np.flatnonzero(found[: self.links] > 0.5):
            a, b = home[self.ports.part[[self.a[at], self.b[at]]]]
            home[home == b] = a
        return [set(np.flatnonzero(home == top).tolist()) for top in np.unique(home)]
