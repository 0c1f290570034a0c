"""Files to cut from: SVG, DXF, G-code, by sheet and load."""
