"""Cutting with a knife: marks to measure, strokes to draw, one drawing a sheet and its table."""
