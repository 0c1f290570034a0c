"""Tape readings: what was read, how well it closes, and the outline that fits it best."""
