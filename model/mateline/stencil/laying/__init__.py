"""Laying a set of pieces on its face: in which order, by which marks, and what to measure."""
