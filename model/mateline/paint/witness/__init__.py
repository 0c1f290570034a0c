"""Witness lines: where base coat could show between two colours."""
