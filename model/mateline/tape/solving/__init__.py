"""Plane figures from observations: a start figure, least squares, what holds and what does not."""
