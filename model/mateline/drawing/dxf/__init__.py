"""DXF read into closed loops."""
