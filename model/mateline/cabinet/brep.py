"""Closed shells for the CAD kernel, written by hand: vertices, shared edges, faces, one solid.

Stands before solids, and knows nothing of boards. An edge is made once and used by its two
faces in opposite directions; a loop runs counter-clockwise seen from outside the solid.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np
from OCP.BRep import BRep_Builder
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.Geom import Geom_BSplineCurve, Geom_Ellipse, Geom_Line
from OCP.Geom2d import Geom2d_BSplineCurve, Geom2d_Line
from OCP.gp import gp_Ax2, gp_Ax3, gp_Dir, gp_Dir2d, gp_Pnt, gp_Pnt2d
from OCP.TColgp import TColgp_Array1OfPnt, TColgp_Array1OfPnt2d
from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal
from OCP.TopAbs import TopAbs_Orientation, TopAbs_ShapeEnum
from OCP.TopExp import TopExp
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import (
    TopoDS_Edge,
    TopoDS_Face,
    TopoDS_Shell,
    TopoDS_Solid,
    TopoDS_Vertex,
    TopoDS_Wire,
)
from OCP.TopTools import TopTools_IndexedMapOfShape, TopTools_ListOfShape

from mateline.products import inverted, norm, product

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Use = tuple[Any, bool]  # an edge, and whether it is walked the way it was made

KERNEL_TOL = 1e-7  # mm: the kernel's own confusion distance
DEGREE = 16  # of curves through points: over a quarter turn they leave the true one by < 1e-12
_FORWARD, _REVERSED = TopAbs_Orientation.TopAbs_FORWARD, TopAbs_Orientation.TopAbs_REVERSED
_HERE = TopLoc_Location()
# Chebyshev points of the second kind, 0 to 1: the ends are among them. Rounded, for the last bit
# of a cosine is another one on another machine.
_NODES = np.round((1 - np.cos(np.pi * np.arange(DEGREE + 1) / DEGREE)) / 2, 12)
_TO_POLES = inverted(
    np.array(
        [
            [math.comb(DEGREE, j) * u**j * (1 - u) ** (DEGREE - j) for j in range(DEGREE + 1)]
            for u in _NODES.tolist()
        ]
    )
)


class Shell:
    """A shell in the making. Points are (3,) in the cabinet frame, mm."""

    def __init__(self) -> None:
        self._builder = BRep_Builder()
        self._shell = TopoDS_Shell()
        self._builder.MakeShell(self._shell)

    def vertex(self, at: Array) -> Any:
        """A vertex at a point."""
        made = TopoDS_Vertex()
        self._builder.MakeVertex(made, point(at), KERNEL_TOL)
        return made

    def edge(self, curve: Any, span: tuple[float, float], ends: tuple[Any, Any]) -> Any:
        """An edge on `curve` over a rising span of its parameter, between two vertices."""
        made = TopoDS_Edge()
        self._builder.MakeEdge(made, curve, KERNEL_TOL)
        self._builder.Add(made, ends[0].Oriented(_FORWARD))
        self._builder.Add(made, ends[1].Oriented(_REVERSED))
        self._builder.Range(made, *span)
        return made

    def line(self, start: Array, end: Array, ends: tuple[Any, Any]) -> Any:
        """A straight edge; its parameter is the distance from `start`."""
        length = norm(end - start)
        curve = Geom_Line(point(start), direction(end - start))
        return self.edge(curve, (0.0, length), ends)

    def on_surface(self, edge: Any, curve: Any, surface: Any) -> None:
        """Say where `edge` runs in the parameters of a surface that is not a plane."""
        self._builder.UpdateEdge(edge, curve, surface, _HERE, KERNEL_TOL)

    def face(self, surface: Any, loops: Iterable[Sequence[Use]], *, inward: bool = False) -> None:
        """Add a face. `inward`: the surface's own normal points into the solid."""
        made = TopoDS_Face()
        self._builder.MakeFace(made, surface, KERNEL_TOL)
        for loop in loops:
            wire = TopoDS_Wire()
            self._builder.MakeWire(wire)
            for edge, forward in reversed(loop) if inward else loop:
                turned = _FORWARD if forward != inward else _REVERSED
                self._builder.Add(wire, edge.Oriented(turned))
            wire.Closed(True)
            self._builder.Add(made, wire)
        self._builder.Add(self._shell, made.Oriented(_REVERSED if inward else _FORWARD))

    def solid(self, *, inside_out: bool = False) -> Any:
        """The solid inside the shell; the shell must be closed by now.

        `inside_out`: the faces were written as seen from inside.
        """
        self._shell.Closed(True)
        made = TopoDS_Solid()
        self._builder.MakeSolid(made)
        self._builder.Add(made, self._shell.Oriented(_REVERSED if inside_out else _FORWARD))
        return made


def point(at: Array) -> Any:
    """The kernel's point."""
    return gp_Pnt(float(at[0]), float(at[1]), float(at[2]))


def direction(along: Array) -> Any:
    """The kernel's direction; any length but 0."""
    return gp_Dir(float(along[0]), float(along[1]), float(along[2]))


def axes(at: Array, main: Array, first: Array) -> Any:
    """Axes of a plane, cylinder or cone: `main` is the normal or axis, `first` the X."""
    return gp_Ax3(point(at), direction(main), direction(first))


def flat_line(u: float, v: float, du: float, dv: float) -> Any:
    """A straight line in the parameters of a surface."""
    return Geom2d_Line(gp_Pnt2d(u, v), gp_Dir2d(du, dv))


def conic(centre: Array, cos: Array, sin: Array) -> tuple[Any, float]:
    """The ellipse centre + cos * cos(w) + sin * sin(w), and what to take from w to get its
    parameter. Principal axes of two conjugate half diameters (elementary).
    """
    shift = 0.5 * float(np.arctan2(2 * product(cos, sin), product(cos, cos) - product(sin, sin)))
    major = cos * np.cos(shift) + sin * np.sin(shift)
    minor = sin * np.cos(shift) - cos * np.sin(shift)
    # arctan2 puts the greater half axis first.
    a, b = norm(major), norm(minor)
    place = gp_Ax2(point(centre), direction(np.cross(major, minor)), direction(major))
    return Geom_Ellipse(place, max(a, b), b), shift


def curve_through(at: Callable[[float], Array], span: tuple[float, float]) -> Any:
    """The polynomial curve of DEGREE through points of `at` over `span`: in space for (3,),
    in the parameters of a surface for (2,). Chebyshev nodes, so that it does not swing.
    """
    points = np.array([at(span[0] + u * (span[1] - span[0])) for u in _NODES])
    middle = points.mean(axis=0)
    poles = middle + product(_TO_POLES, points - middle)
    flat = poles.shape[1] == 2
    listed = (TColgp_Array1OfPnt2d if flat else TColgp_Array1OfPnt)(1, DEGREE + 1)
    for index, pole in enumerate(poles.tolist(), start=1):
        listed.SetValue(index, gp_Pnt2d(*pole) if flat else gp_Pnt(*pole))
    knots, counts = TColStd_Array1OfReal(1, 2), TColStd_Array1OfInteger(1, 2)
    for index, value in enumerate(span, start=1):
        knots.SetValue(index, value)
        counts.SetValue(index, DEGREE + 1)
    kind = Geom2d_BSplineCurve if flat else Geom_BSplineCurve
    return kind(listed, knots, counts, DEGREE)


def taken(name: str, body: Any, tools: Iterable[Any]) -> Any:
    """The one solid that is left of `body`, which a fault calls by its `name`, after all tools.

    Raises ValueError where they leave none or several.
    """
    cut = BRepAlgoAPI_Cut()
    cut.SetArguments(_listed([body]))
    cut.SetTools(_listed(tools))
    cut.Build()
    left = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(cut.Shape(), TopAbs_ShapeEnum.TopAbs_SOLID, left)
    if left.Extent() != 1:
        raise ValueError(f"{name}: its holes leave {left.Extent()} boards of it")
    return left.FindKey(1)


def _listed(shapes: Iterable[Any]) -> Any:
    listed = TopTools_ListOfShape()
    for one in shapes:
        listed.Append(one)
    return listed
