"""Painting day: passes, witness lines, paint, days and cautions, planned from the stencils."""
