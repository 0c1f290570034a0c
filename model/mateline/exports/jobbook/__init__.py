"""The job book: one HTML file for the phone in the shop, one PDF for its wall.

Stands after the other exports' drawings; knows all of the road.
"""

from mateline.exports.jobbook.page import page as html

__all__ = ["html"]
