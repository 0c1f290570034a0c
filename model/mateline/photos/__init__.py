"""The short road from a cabinet's photos to the drawings of its faces."""
