"""Checks of what paints both sides: hardware, outlines and lettering, and art against art."""
