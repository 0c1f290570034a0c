"""The cabinet in space: STEP and glTF."""
