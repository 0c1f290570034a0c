"""The job book: one HTML file for the phone in the shop, one PDF for its wall.

Stands after the other exports' drawings; knows all of the road.
"""

from mateline.exports.jobbook.page import page as html
from mateline.exports.jobbook.pdf import write_pdf

__all__ = ["html", "write_pdf"]
