"""A TOML text changed where it must be, and nowhere else: places, literals, cuts and insertions."""
