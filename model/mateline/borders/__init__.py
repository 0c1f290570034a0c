"""Borders: facets fitted with the fewest lines and arcs."""
