"""Mateline: from tape readings and flat drawings to exact, mating stencil pieces.

Python code uses `mateline.interface`; every other module may move.
"""

__version__ = "0.1.0"
