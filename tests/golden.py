"""Golden files: what a format looked like when somebody last looked at it.

Run the tests with MATELINE_REWRITE_GOLDEN=1 to write them anew, and read the difference.
"""

import difflib
import os
from pathlib import Path

LONGEST = 60  # lines; nobody reads longer ones


def assert_golden(text: str, expected: Path):
    assert text.count("\n") <= LONGEST
    if os.environ.get("MATELINE_REWRITE_GOLDEN"):
        expected.write_text(text, encoding="utf-8", newline="\n")
    assert expected.exists(), f"{expected.name} is missing; write it and look at it"
    known = expected.read_text(encoding="utf-8")
    difference = difflib.unified_diff(known.splitlines(), text.splitlines(), "known", "found")
    assert known == text, "\n".join(difference)
