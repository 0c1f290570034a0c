"""Artwork: drawings read, made into patterns and laid on faces."""
