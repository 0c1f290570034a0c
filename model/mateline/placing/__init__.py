"""Drawings put on faces: anchored, matched to landmarks, wrapped, cast, mirrored."""
