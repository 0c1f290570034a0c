"""Pen lines on paper: a scanned tracing into regions with lines and arcs between them."""
