"""Lengths of DXF entities, by ezdxf's own reading of them."""

import math


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
