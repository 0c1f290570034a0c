"""Tape tacks: where they go, and what they hold."""
