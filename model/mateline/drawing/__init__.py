"""Drawings: files made into flat-coloured shapes."""
