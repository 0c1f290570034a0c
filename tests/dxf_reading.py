"""DXF files read back: lengths by ezdxf's own reading, and a quick reader of the tests' own.

The latter knows the kinds that the exports write, and no blocks.
"""

import math

from svg_reading import Arc, Line


def entity_length(entity):
    kind = entity.dxftype()
    if kind == "LWPOLYLINE":
        return sum(entity_length(part) for part in entity.virtual_entities())
    if kind == "LINE":
        return entity.dxf.start.distance(entity.dxf.end)
    if kind == "CIRCLE":
        return math.tau * entity.dxf.radius
    assert kind == "ARC"
    turn = (entity.dxf.end_angle - entity.dxf.start_angle) % 360
    return math.radians(turn) * entity.dxf.radius


def entities_of(text):
    """Entities of a DXF file as (layer, parts): group codes and values, two lines each."""
    lines = text.splitlines()
    pairs = list(zip((int(each) for each in lines[::2]), lines[1::2], strict=True))
    first = next(at for at, pair in enumerate(pairs) if pair == (2, "ENTITIES"))
    found, own = [], None
    for code, value in pairs[first + 1 :]:
        if code == 0:
            if own:
                found.append(_entity(own))
            if value == "ENDSEC":
                return found
            own = [(0, value)]
        elif own:
            own.append((code, value.strip()))
    raise AssertionError("no end of the entities")


def _entity(codes):
    kind = codes[0][1]
    one = dict(codes)
    layer = one[8]
    if kind == "LINE":
        start, end = ((float(one[at]), float(one[at + 10])) for at in (10, 11))
        return layer, [Line(start, end)]
    if kind in {"ARC", "CIRCLE"}:
        centre, reach = (float(one[10]), float(one[20])), float(one[40])
        first, last = (math.radians(float(one.get(code, 0))) for code in (50, 51))
        turn = math.tau if kind == "CIRCLE" else (last - first) % math.tau
        ends = [
            (centre[0] + reach * math.cos(at), centre[1] + reach * math.sin(at))
            for at in (first, first + turn)
        ]
        return layer, [Arc(ends[0], ends[1], centre, (reach, reach), turn)]
    assert kind == "LWPOLYLINE", kind
    spots, bulges = [], []
    for code, value in codes:
        if code == 10:
            spots.append([float(value)])
            bulges.append(0.0)
        elif code == 20:
            spots[-1].append(float(value))
        elif code == 42:
            bulges[-1] = float(value)
    ends = list(zip(spots, spots[1:], bulges, strict=False))
    if int(one[70]) & 1:
        ends.append((spots[-1], spots[0], bulges[-1]))
    return layer, [_bulged(tuple(a), tuple(b), bulge) for a, b, bulge in ends]


def _bulged(start, end, bulge):
    """DXF Reference, LWPOLYLINE: a bulge is tan(turn / 4)."""
    if bulge == 0:
        return Line(start, end)
    turn = 4 * math.atan(bulge)
    (ax, ay), (bx, by) = start, end
    off = 0.5 / math.tan(turn / 2)
    centre = ((ax + bx) / 2 - (by - ay) * off, (ay + by) / 2 + (bx - ax) * off)
    return Arc(start, end, centre, (math.dist(centre, start),) * 2, turn)
