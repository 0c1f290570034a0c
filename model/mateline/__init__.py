"""Mateline: from tape readings and flat artwork to exact, mating stencil pieces."""

__version__ = "0.1.0"
