"""The commands that can be typed: each parses its own words, calls one function, and answers."""
