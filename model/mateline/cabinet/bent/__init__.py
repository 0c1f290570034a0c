"""Curved sides as wood: bent boards, and boards whose outline is curved."""
