"""How large a board is: by the kernel, by its mesh, by its facets and in a STEP file. mm³."""

import itertools

import numpy as np
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp
from OCP.TopTools import TopTools_IndexedMapOfShape
from shapely import Polygon

from mateline.cabinet.panel import level
from mateline.cabinet.solids import shape
from mateline.cabinet.volume import section_depths, volume
from mateline.exports.solid.indexed_mesh import indexed
from mateline.exports.solid.skin import skin
from mateline.exports.solid.step import write

SAME = 1e-9  # no unit: share that volumes may differ by
FINE = 1e-11  # no unit: of the kernel's quadrature, whose usual one has a share of 1e-7


def in_kernel(panel):
    """Of its solid, which is valid."""
    solid = shape(panel)
    assert BRepCheck_Analyzer(solid).IsValid(), panel.name
    return weighed(solid)


def weighed(solid):
    measured = GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, measured, FINE)
    return measured.Mass()


def in_mesh(panel):
    """Inside the triangles of its mesh, which is closed."""
    made = skin(panel, (), "#c8a06a")
    indexed(made)  # which refuses what is not closed
    at = made.triangles
    edges = np.stack([at, np.roll(at, -1, axis=1)], axis=2).reshape(-1, 2, 3).round(6) + 0.0
    there = {tuple(map(tuple, edge)) for edge in edges.tolist()}
    assert there == {edge[::-1] for edge in there}
    return np.einsum("ij,ij->i", at[:, 0], np.cross(at[:, 1], at[:, 2])).sum() / 6


def in_facets(panel):
    """Of the prisms below its outline in facets, where all its ends are square."""
    return sum(
        Polygon(level(panel, (top + low) / 2)).area * (low - top)
        for top, low in itertools.pairwise(section_depths(panel))
    )


def in_step(panels, folder):
    """Of each solid in a file that has these boards."""
    write(panels, folder / "m.step", colours={})
    reader = STEPControl_Reader()
    assert reader.ReadFile(str(folder / "m.step")) == IFSelect_ReturnStatus.IFSelect_RetDone
    reader.TransferRoots()
    solids = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(reader.OneShape(), TopAbs_ShapeEnum.TopAbs_SOLID, solids)
    return [weighed(solids.FindKey(at)) for at in range(1, solids.Extent() + 1)]


def agree(panel, folder=None):
    """Whether the closed form, the solid, the file and the mesh of a board with square ends are as
    large as each other; a mesh is the prism of the facets.
    """
    size = volume(panel)
    sizes = [in_kernel(panel), *([] if folder is None else in_step([panel], folder))]
    shares = [abs(each / size - 1) for each in sizes]
    return max(*shares, abs(in_mesh(panel) / in_facets(panel) - 1)) < SAME
