"""Drawings bent smoothly onto a face that they were not drawn for."""
