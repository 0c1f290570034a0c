"""Planar maps: half-edges, point location, crossings, safe unions, affine maps."""
