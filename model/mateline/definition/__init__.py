"""The definition: what `cabinet.toml` says, read and settled into millimetres and radians."""
