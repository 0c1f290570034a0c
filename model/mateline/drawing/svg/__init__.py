"""SVG read as a renderer would."""
