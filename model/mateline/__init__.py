"""Mateline: from tape readings and flat drawings to exact, mating stencil pieces."""

__version__ = "0.1.0"
