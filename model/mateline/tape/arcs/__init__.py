"""Curved sides: how they are measured, and the arcs that fit."""
