"""Lines and arcs fitted to a network of courses at once: what tracing and pen lines give."""
