"""The files of a build, read back and held against the job they were written from.

`complaints(job, folder)` is empty where every file says what the job says: each border cut once and
where it is, tacks and labels inside their pieces, all numbers finite and on the board, machine
moves on the bed, models closed. Readers are the tests' own (svg_reading, dxf_reading,
gcode_reading), pypdf, trimesh and the kernel's STEP reader; none shares code with a writer.
"""

import itertools
import json
import math
import re

import numpy as np
import shapely
from scipy.spatial import cKDTree

from dxf_reading import entities_of
from gcode_reading import reach_of, tip_path
from mateline.curves import radius, sweep
from model_judge import glb_complaints, step_complaints
from pdf_reading import forms, read, subpaths
from svg_reading import Arc, Line, along, parsed, paths, segments

SVG_TOL = 1e-4  # mm: SVG is written to 4 decimals
DXF_TOL = 1e-6  # mm
NGC_TOL = 5e-4  # mm: the tip, from a pivot of 4 decimals and a heading
SHORT = 2e-3  # mm: a segment no longer says no direction in 4 decimals
NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
NOT_FINITE = re.compile(r"\b(?:nan|inf|infinity)\b", re.IGNORECASE)
RADII = re.compile(r"A[\d.]+ [\d.]+ ")  # of arcs, which _wild looks at
WILD = 1000.0  # times its chord: an arc is no flatter
WIDEST = 20_000.0  # mm: no number of a picture is larger
PLAIN_NUMBER = re.compile(r'(?:d|points|x|y|x1|x2|y1|y2|cx|cy|r|width|height|viewBox)="([^"]*)"')


def complaints(job, folder):
    """What of the files in `folder` is not as `job`, with true borders, has it."""
    found = []
    for stencil in job.stencils:
        name = stencil.face.name
        place = folder / "faces" / name
        cut = (_svg, _dxf, _pdf, _machine, _parts) if stencil.has_board else (_uncut,)
        for judge in (_painted, *cut):
            found += [f"{name}, {each}" for each in judge(stencil, place, job)]
    found += _pictures(folder)
    found += _json(job, folder)
    found += glb_complaints(job, folder)
    return [*found, *step_complaints(job, folder)]


# ---------------------------------------------------------------- borders


def parts_of(chain):
    """The segments of a chain as the readers give them."""
    at, found = chain.start, []
    for each in chain.segments:
        if each.centre is None:
            found.append(Line(at, each.to))
        else:
            found.append(Arc(at, each.to, each.centre, (radius(each),) * 2, sweep(at, each)))
        at = each.to
    return found


def turned(parts):
    """The same walked backwards."""
    back = []
    for part in reversed(parts):
        if isinstance(part, Line):
            back.append(Line(part.end, part.start))
        else:
            back.append(Arc(part.end, part.start, part.centre, part.radii, -part.turn))
    return back


def follows(read_parts, chain, tol):
    """Why the parts of one path as read are not the chain, from end to end; "" where they are."""
    wanted = parts_of(chain)
    if len(read_parts) == 1 and isinstance(read_parts[0], Arc) and _full(read_parts[0]):
        return _one_circle(read_parts[0], wanted, tol)
    at, left = chain.start, list(read_parts)
    for part in wanted:
        turn = 0.0
        while left and (math.dist(at, part.end) > 2 * tol or _goes_round(part, turn)):
            here = left.pop(0)
            wrong = _off(here, part, tol)
            if wrong:
                return wrong
            at = here.end
            turn += getattr(here, "turn", 0.0)
        if math.dist(at, part.end) > 2 * tol:
            return f"a path ends {math.dist(at, part.end):.2g} mm from its border's node"
        if isinstance(part, Arc) and abs(turn - part.turn) * part.radii[0] > 20 * tol:
            return f"an arc turns by {turn:.9f} and not by {part.turn:.9f}"
    more = [part for part in left if math.dist(part.start, part.end) > 2 * tol]
    return f"{len(more)} segments too many" if more else ""


def _full(part):
    return abs(abs(part.turn) - math.tau) < 1e-9


def _goes_round(part, turn):
    return isinstance(part, Arc) and abs(part.turn) > math.pi and turn == 0


def _one_circle(found, wanted, tol):
    for part in wanted:
        if not isinstance(part, Arc) or math.dist(part.centre, found.centre) > 2 * tol:
            return "a circle that is none"
        if abs(part.radii[0] - found.radii[0]) > 2 * tol:
            return "a circle of another radius"
    whole = abs(sum(part.turn for part in wanted))
    return "" if abs(whole - math.tau) < 1e-9 else "a circle that is not closed"


def _off(here, part, tol):
    """How a read segment leaves the line or arc it is, or is a part of."""
    if isinstance(here, Line) != isinstance(part, Line):
        short = min(part.length, here.length) < 2 * tol
        return "" if short else "a line for an arc, or an arc for a line"
    spots = [along(here, share) for share in (0, 0.25, 0.5, 0.75, 1)]
    if isinstance(part, Line):
        line = shapely.LineString([part.start, part.end])
        far = max(line.distance(shapely.Point(spot)) for spot in spots)
    else:
        far = max(abs(math.dist(spot, part.centre) - part.radii[0]) for spot in spots)
    return "" if far <= 2 * tol else f"a segment lies {far:.3g} mm off its border"


def _marks(parts):
    """Start, end, and three places between, for finding the border that a path is."""
    lengths = np.cumsum([0.0, *(part.length for part in parts)])
    spots = [parts[0].start, parts[-1].end]
    for share in (0.2, 0.5, 0.8):
        at = int(np.clip(np.searchsorted(lengths, share * lengths[-1]) - 1, 0, len(parts) - 1))
        spots.append(along(parts[at], (share * lengths[-1] - lengths[at]) / parts[at].length))
    return np.ravel(spots)


def paired(found, chains, tol):
    """Complaints about paths (lists of parts) that have to be `chains`, each one once."""
    if len(found) != len(chains):
        return [f"{len(found)} paths for {len(chains)} borders"]
    if not chains:
        return []
    wanted = [parts_of(chain) for chain in chains]
    marks = [_marks(parts) for parts in wanted] + [_marks(turned(parts)) for parts in wanted]
    tree = cKDTree(np.array(marks))
    told, used = [], set()
    for parts in found:
        if len(parts) == 1 and isinstance(parts[0], Arc) and _full(parts[0]):
            nearest = np.flatnonzero([chain.closed for chain in chains])  # it may start anywhere
        else:
            _, nearest = tree.query(_marks(parts), k=min(4, len(marks)))
        ways = []
        for at in np.atleast_1d(nearest).tolist():
            border, back = at % len(chains), at >= len(chains)
            ways.append((follows(turned(parts) if back else parts, chains[border], tol), border))
            if not ways[-1][0]:
                break
        wrong, border = min(
            ways or [("a circle for no border", -1)], key=lambda way: (bool(way[0]), way[1] in used)
        )
        if wrong:
            told.append(wrong)
        elif border in used:
            told.append("a border is there twice")
        used.add(border)
    return told


def from_svg(group, height):
    """Paths of a group as lists of parts, y up."""
    return [[_flipped(part, height) for part in segments(path.get("d"))] for path in paths(group)]


def _flipped(part, height):
    start, end = ((x, height - y) for x, y in (part.start, part.end))
    if isinstance(part, Line):
        return Line(start, end)
    return Arc(start, end, (part.centre[0], height - part.centre[1]), part.radii, -part.turn)


def _svg(stencil, place, _job):
    root = parsed((place / "stencil.svg").read_text(encoding="utf-8"))
    box = [float(each) for each in root.get("viewBox").split()]
    _, _, wide, high = stencil.face.outline.bounds
    if not np.allclose(box, (0, 0, wide, high), atol=SVG_TOL):
        yield f"stencil.svg: a picture of {box}"
    yield from _wild(stencil)
    groups = {group.get("id"): from_svg(group, high) for group in root}
    yield from (f"stencil.svg: {each}" for each in paired(groups["cut"], stencil.chains, SVG_TOL))
    for name, found in groups.items():
        yield from _on_board(f"stencil.svg, {name}", found, (wide, high))
    yield from _inside(stencil, groups)


def _wild(stencil):
    """Arcs that are lines, on a face of any size."""
    for chain in stencil.chains:
        for part in parts_of(chain):
            if isinstance(part, Arc) and part.length > SHORT:
                chord = math.dist(part.start, part.end)
                if 0 < WILD * chord < part.radii[0]:
                    yield f"an arc of radius {part.radii[0]:.6g} mm over a chord of {chord:.4g} mm"


def _on_board(name, found, size):
    spots = np.array([spot for parts in found for part in parts for spot in (part.start, part.end)])
    if len(spots) and not np.isfinite(spots).all():
        yield f"{name}: a place that is no number"
    elif len(spots) and ((spots < -1e-3).any() or (spots > np.array(size) + 1e-3).any()):
        yield f"{name}: it leaves the board, from {spots.min(axis=0)} to {spots.max(axis=0)}"


def _inside(stencil, groups):
    """Tacks and strokes of labels lie in one piece each; there are as many tacks as planned."""
    tree = shapely.STRtree([piece.area.buffer(1e-3) for piece in stencil.pieces])
    tacks = [shapely.Polygon([part.start for part in parts]) for parts in groups["tack"]]
    wanted = sum(len(piece.tacks) for piece in stencil.pieces)
    if len(tacks) != wanted:
        yield f"{len(tacks)} tacks for {wanted}"
    pairs = shapely.STRtree(tacks).query(tacks, predicate="intersects")
    if len(pairs[0]) > len(tacks):
        yield f"{(len(pairs[0]) - len(tacks)) // 2} pairs of tacks overlap"
    for name, shapes in (
        ("tack", tacks),
        ("label", [_line(parts) for parts in groups["label"]]),
    ):
        if shapes:
            held = np.unique(tree.query(shapes, predicate="within")[0])
            if len(held) < len(shapes):
                yield f"{len(shapes) - len(held)} {name}s lie in no piece"


def _line(parts):
    return shapely.LineString([parts[0].start, *(part.end for part in parts)])


def _uncut(stencil, place, _job):
    """A face of base coat only: nothing to cut."""
    if any(region.colour != stencil.base for region in stencil.pattern.regions):
        yield "more than base coat and no board"
    there = {path.name for path in place.rglob("*")}
    if there != {"painted.svg", "picture.svg"}:
        yield f"no board, but {sorted(there)}"


def _painted(stencil, place, _job):
    """Each region's area within the arcs as written, and its colour."""
    root = parsed((place / "painted.svg").read_text(encoding="utf-8"))
    found = paths(root)
    regions = stencil.pattern.regions
    if len(found) != len(regions):
        yield f"painted.svg: {len(found)} paths for {len(regions)} regions"
        return
    names = {piece.region: piece.id for piece in stencil.pieces}
    for at, (path, region, told) in enumerate(zip(found, regions, stencil.sizes, strict=True)):
        name = names.get(at, f"region {at}")
        if path.get("fill") != stencil.paints[region.colour]:
            yield f"painted.svg: {name} is {path.get('fill')}"
        size = -sum(_swept(part) for part in segments(path.get("d")))
        slack = SVG_TOL * (region.area.length + 1) + 1e-6
        if abs(size - told) > slack:
            yield f"painted.svg: {name} has {size:.6f} mm² and not {told:.6f}"
        if abs(told - region.area.area) > 0.03 * region.area.length + 1e-3:
            yield f"{name}: its arcs hold {told}, its facets {region.area.area} mm²"
    for piece in stencil.pieces:
        if piece.size != stencil.sizes[piece.region]:
            yield f"{piece.id} has {piece.size} mm² and its region {stencil.sizes[piece.region]}"


def _swept(part):
    (ax, ay), (bx, by) = part.start, part.end
    size = (ax * by - bx * ay) / 2
    if isinstance(part, Arc):
        size += part.radii[0] ** 2 * (part.turn - math.sin(part.turn)) / 2
    return size


# ---------------------------------------------------------------- DXF


def _dxf(stencil, place, _job):
    _, _, wide, high = stencil.face.outline.bounds
    layers = {}
    for layer, parts in entities_of((place / "stencil.dxf").read_text(encoding="utf-8")):
        layers.setdefault(layer, []).append(parts)
    cut = layers.get("CUT", [])
    yield from (f"stencil.dxf: {each}" for each in paired(cut, stencil.chains, DXF_TOL))
    for name, found in layers.items():
        yield from _on_board(f"stencil.dxf, {name}", found, (wide, high))


# ---------------------------------------------------------------- PDF, pictures, answers


def _pdf(stencil, place, _job):
    reader = read((place / "stencil.pdf").read_bytes())
    for page in reader.pages:
        left, low, right, high = (float(each) for each in page.mediabox)
        if not (0 <= left < right < 57_000 and 0 <= low < high < 57_000):
            yield f"stencil.pdf: a page of {page.mediabox}"
        for operands, _ in page.get_contents().operations:
            numbers = [float(each) for each in operands if isinstance(each, (int, float))]
            if not all(math.isfinite(each) and abs(each) < 57_000 for each in numbers):
                yield f"stencil.pdf: a number off its page in {operands}"
    _, _, wide, high = stencil.face.outline.bounds
    for name, form in forms(reader).items():
        for path in subpaths(form):
            spots = np.array(path)
            if not np.isfinite(spots).all():
                yield f"stencil.pdf, {name}: a place that is no number"
            elif (spots < -0.01).any() or (spots > np.array((wide, high)) + 0.01).any():
                yield f"stencil.pdf, {name}: it leaves the face"


def _pictures(folder):
    for path in sorted([*folder.rglob("*.svg"), folder / "job-book.html"]):
        text = path.read_text(encoding="utf-8")
        for values in PLAIN_NUMBER.findall(text):
            places = RADII.sub(" ", values)
            if NOT_FINITE.search(values) or any(
                abs(float(each)) > WIDEST for each in NUMBER.findall(places)
            ):
                yield f"{path.relative_to(folder)}: {values[:60]}"
                break
    for path in sorted([*folder.rglob("*.txt"), *folder.rglob("*.ngc")]):
        for each in NUMBER.findall(path.read_text(encoding="utf-8")):
            if abs(float(each)) > 1e7:
                yield f"{path.relative_to(folder)}: {each}"


def _json(job, folder):
    def refuse(word):
        raise AssertionError(f"{word} in JSON")

    told = json.loads((folder / "job.json").read_text(encoding="utf-8"), parse_constant=refuse)
    for face, stencil in zip(told["faces"], job.stencils, strict=True):
        whole = face["pieces"] or [{"area": area} for area in stencil.sizes]
        parts = sum(each["area"] for each in (*whole, *face["holes"]))
        if abs(parts - face["area"]) > 1e-9 * face["area"]:
            yield f"job.json: {face['name']} has {face['area']} mm², and its parts {parts}"
        # Its rim is of facets where it is a seam, and within 0.02 mm where it is an arc.
        rim = stencil.face.outline.length
        if abs(face["area"] - stencil.face.outline.area) > 0.03 * rim:
            yield f"job.json: {face['name']} has {face['area']} mm²"


# ---------------------------------------------------------------- machine files


def _machine(stencil, place, job):
    knife, bed = job.board.knife, job.board.bed
    programs = sorted(place.rglob("*.ngc"))
    if knife is None:
        if programs:
            yield "a program without a knife"
        return
    for path in programs:
        name, text = path.relative_to(place), path.read_text(encoding="utf-8")
        left, low, right, high = reach_of(text)
        if min(left, low) < 0:
            yield f"{name}: the pivot goes to X {left}, Y {low}"
        if bed and (right > bed[0] + 1e-4 or high > bed[1] + 1e-4):
            yield f"{name}: the pivot goes to X {right}, Y {high} on a bed of {bed}"
    whole = place / "cut.ngc"
    if whole.exists():
        yield from (f"cut.ngc: {each}" for each in _cut_once(stencil, whole, knife))


def _cut_once(stencil, path, knife):
    """Every segment of borders and tacks is cut once, to within what 4 decimals say."""
    text = path.read_text(encoding="utf-8")
    found = [part for part, depth in tip_path(text, knife.offset) if depth > 0]
    off = knife.rim
    seen = np.array([_row(part) for part in found if part.length > SHORT]) - off
    wanted = [part for chain in stencil.chains for part in parts_of(chain)]
    wanted += [side for piece in stencil.pieces for tack in piece.tacks for side in _punched(tack)]
    wanted = [half for part in wanted for half in _halves(part)]
    rows = np.array([_row(part) for part in wanted if part.length > SHORT])
    if len(seen) != len(rows):
        yield f"{len(seen)} segments for {len(rows)}"
        return
    both = np.vstack([rows, rows[:, [4, 5, 2, 3, 0, 1]]])
    far, nearest = cKDTree(both).query(seen)
    if far.max() > 2 * NGC_TOL:
        yield f"the tip is {far.max():.4f} mm off"
    elif len(set((nearest % len(rows)).tolist())) < len(rows):
        yield "a segment is cut twice"


def _punched(tack):
    """The rim of a tack's hole."""
    (x, y), half, low = tack.centre, tack.punch.length / 2, tack.punch.width / 2
    if tack.punch.round:
        return [Arc((x + half, y), (x + half, y), (x, y), (half, half), math.tau)]
    cos, sin = math.cos(tack.turn), math.sin(tack.turn)
    corners = [(a * cos - b * sin + x, a * sin + b * cos + y)
               for a, b in ((-half, -low), (half, -low), (half, low), (-half, low))]  # fmt: skip
    return [Line(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True)]


def _row(part):
    return (*part.start, *along(part, 0.5), *part.end)


def _halves(part):
    """An arc of over half a turn as the program has it: in equal parts of no more."""
    if isinstance(part, Line):
        return [part]
    count = max(1, math.ceil(abs(part.turn) / math.pi - 1e-9))
    ends = [part.start, *(along(part, at / count) for at in range(1, count)), part.end]
    return [
        Arc(a, b, part.centre, part.radii, part.turn / count) for a, b in itertools.pairwise(ends)
    ]


def _parts(stencil, place, job):
    """Sheets and loads: what they cut are borders and joins, inside their own drawing, and all
    of them together are every border.
    """
    for kind in ("sheets", "loads"):
        drawings = sorted((place / kind).glob("*.svg")) if (place / kind).is_dir() else []
        total = 0.0
        for path in drawings:
            root = parsed(path.read_text(encoding="utf-8"))
            _, _, wide, high = (float(each) for each in root.get("viewBox").split())
            limit = job.board.sheet if kind == "sheets" else job.board.bed
            if sorted((wide, high)) > sorted(each + 1e-3 for each in limit):
                yield f"{path.name}: {wide} x {high} mm for {limit}"
            for group in root:
                found = from_svg(group, high)
                name = f"{kind}/{path.name}, {group.get('id')}"
                yield from _on_board(name, found, (wide, high))
                if group.get("id") == "cut":
                    total += sum(part.length for parts in found for part in parts)
            layers = {}
            text = path.with_suffix(".dxf").read_text(encoding="utf-8")
            for layer, parts in entities_of(text):
                layers.setdefault(layer, []).append(parts)
            for layer, found in layers.items():
                yield from _on_board(f"{kind}/{path.stem}.dxf, {layer}", found, (wide, high))
        whole = sum(part.length for chain in stencil.chains for part in parts_of(chain))
        all_there = kind == "sheets" or len(stencil.grid.sheets) == 1
        if drawings and all_there and total < whole * (1 - 1e-6) - 0.01:
            yield f"{kind}: {total:.3f} mm of cuts where the borders are {whole:.3f} mm"
