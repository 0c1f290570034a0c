"""Borders of a label map, each once, as lines and arcs."""
