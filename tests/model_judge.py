"""model.glb and model.step read back and held against the boards they were made from."""

import numpy as np
import shapely
import trimesh

from mateline.cabinet.hole import keep_clear, sink_depth
from mateline.cabinet.panel import grouped
from mateline.cabinet.volume import holes_clear, volume
from mateline.curves import area
from mateline.paint.lightness import linear


def glb_complaints(job, folder):
    meshes = trimesh.load(folder / "model.glb", process=False).geometry
    stencils = {stencil.face.name: stencil for stencil in job.stencils}
    if sorted(meshes) != sorted(stencils):
        yield f"model.glb: boards {sorted(meshes)}"
        return
    for name, mesh in meshes.items():
        panel = stencils[name].face.panel
        if not (mesh.is_watertight and mesh.is_winding_consistent):
            yield f"model.glb: {name} is open"
        if holes_clear(panel) and not (panel.bend and panel.holes):
            strips = sum(edge.strip_width for edge in panel.edges)
            rims = sum(area(keep_clear(hole)) for hole in panel.holes)
            slack = 0.1 * strips * stencils[name].face.outline.length / 4
            slack += 0.2 * (rims**0.5) * 4 * panel.thickness * len(panel.holes) + 5.0
            size = volume(panel)
            if panel.bend:  # a sector in facets of the angle a is a share a^2 / 6 = 4 d / 3 R less
                slack += size * 4 * 0.1 / (3 * abs(panel.bend.radius))
            if abs(mesh.volume * 1e9 - size) > slack + 1e-3 * size:
                yield f"model.glb: {name} has {mesh.volume * 1e9:.1f} mm³ and not {size:.1f}"
        yield from _coloured(mesh, stencils[name], _on_ends(name, job, stencils))


def _on_ends(name, job, stencils):
    """mm² of each colour on the ends of a board."""
    found = dict.fromkeys(job.colours.paints, 0.0)
    for end in job.cabinet.ends:
        if end.board != name:
            continue
        if end.finish == "base":
            found[job.colours.base] += end.size
        elif end.finish == "art":
            for piece in stencils[end.owner].pattern.regions:
                found[piece.colour] += piece.area.intersection(end.on_owner).area
    return found


def _coloured(mesh, stencil, ends):
    """The area of each paint is that of its pieces on the board, and of its ends."""
    name, beyond = stencil.face.name, shapely.union_all(stencil.face.beyond)
    a, b, c = np.moveaxis(mesh.triangles, 1, 0)
    sizes = np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2 * 1e6
    tint = np.asarray(mesh.visual.vertex_attributes["color"])[mesh.faces[:, 0], :3]
    for colour, paint in stencil.paints.items():
        regions = zip(stencil.pattern.regions, stencil.sizes, strict=True)
        own = [(region.area, size) for region, size in regions if region.colour == colour]
        wanted = ends[colour] + sum(size for _, size in own)
        wanted -= sum(there.intersection(beyond).area for there, _ in own)
        holes = sum(area(keep_clear(each)) for each in stencil.face.holes)
        near = np.abs(tint - np.array(linear(paint))).max(axis=1) < 0.006
        rims = sum(there.length for there, _ in own)
        slack = 0.3 * rims + holes + 0.01 * wanted
        if abs(sizes[near].sum() - wanted) > slack:
            yield f"model.glb: {name} has {sizes[near].sum():.1f} mm² of {colour}, not {wanted:.1f}"


def step_complaints(job, folder):
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp
    from OCP.TopoDS import TopoDS
    from OCP.TopTools import TopTools_IndexedMapOfShape

    solids = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(_read_step(folder / "model.step"), TopAbs_ShapeEnum.TopAbs_SOLID, solids)
    panels = [stencil.face.panel for stencil in job.stencils]
    if solids.Extent() != len(panels):
        yield f"model.step: {solids.Extent()} solids for {len(panels)} boards"
        return
    for panel, at in zip(panels, range(1, len(panels) + 1), strict=True):
        solid = TopoDS.Solid_s(solids.FindKey(at))
        if not BRepCheck_Analyzer(solid).IsValid():
            yield f"model.step: {panel.name} is no valid solid"
        faces = TopTools_IndexedMapOfShape()
        TopExp.MapShapes_s(solid, TopAbs_ShapeEnum.TopAbs_FACE, faces)
        if not holes_clear(panel) or (panel.bend and panel.holes):
            continue
        weight = GProp_GProps()
        BRepGProp.VolumeProperties_s(solid, weight, 1e-9)
        if abs(weight.Mass() - volume(panel)) > 1e-6 * volume(panel):
            yield f"model.step: {panel.name} has {weight.Mass()} mm³ and not {volume(panel)}"
        if faces.Extent() != _face_count(panel):
            yield f"model.step: {panel.name} has {faces.Extent()} faces, not {_face_count(panel)}"


def _read_step(path):
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.STEPControl import STEPControl_Reader

    reader = STEPControl_Reader()
    assert reader.ReadFile(str(path)) == IFSelect_ReturnStatus.IFSelect_RetDone
    reader.TransferRoots()
    return reader.OneShape()


def _face_count(panel):
    """Outside and inside, one for each segment of each edge's section, the walls of holes, and what
    grooves and holes in edges add.
    """
    walls = 0
    for hole in panel.holes:
        sink = sink_depth(hole)
        walls += {
            "round": 2,
            "slot": 6,  # each end is two quarters
            "rectangle": 8 if hole.corner > 0 else 4,
            "countersunk": 4 if 0 < sink < panel.thickness else 2,
        }[hole.kind]
    ends = sum(len(edge.section.segments) for edge in panel.edges)
    return 2 + ends - sum(run.count - 1 for run in panel.runs) + walls + _faces_of_cuts(panel)


def _faces_of_cuts(panel):
    """A floor for each edge of a groove, and what is left of the end on its other side; two sides
    for all edges that it runs round; a rabbet has one side. A hole has its wall and its floor.
    """
    found = sum(2 * len(edge.bores) for edge in panel.edges)
    grooves = [panel.edges[first].groove for first, _, _ in grouped(panel)]
    for at, groove in enumerate(grooves):
        if groove is not None:
            sides = 1 if groove.bottom >= panel.thickness else 2
            found += sides if grooves[at - 1] == groove else 2 * sides
    all_round = grooves[0] is not None and len(set(grooves)) == 1
    return found + (2 if all_round else 0)
