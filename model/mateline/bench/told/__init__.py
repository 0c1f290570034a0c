"""What the page is told of a cabinet, as plain JSON: mm, mm², and words that are ready to be read.

Stands before the workbench. Drawings are facets here: a page redraws after each edit, and the true
lines and arcs are fitted when files are written.
"""
