"""Files of hostile drawings, which are made where they are needed."""

import re


def written(folder, suffix, name, build):
    """The path of what `build` returns, written under `name` as a file may be called."""
    path = folder / f"{re.sub('[^a-z0-9]', '-', name.lower())}.{suffix}"
    path.write_bytes(build())
    return path
