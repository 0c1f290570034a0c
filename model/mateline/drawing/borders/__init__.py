"""Borders files: border lines and colour seeds, from which areas are made that share each line."""
