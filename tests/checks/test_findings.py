"""The codes of findings are listed once, and every list of them is whole."""

import ast
import re
from pathlib import Path

from mateline.checks.findings import CODES
from mateline.definition.schema import schema

ROOT = Path(__file__).parents[2]
OF_SETTLEMENTS = {"settlement-unmatched", "settlement-unclear"}  # which nothing settles
CODE = re.compile(r"[a-z]+(-[a-z]+)+")
README = (ROOT / "README.md").read_text(encoding="utf-8")


def in_checks():
    """Texts in the checks that look like a code of a finding: two to four plain words."""
    found = set()
    for path in (ROOT / "model" / "mateline" / "checks").rglob("*.py"):
        if path.name == "findings.py":
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and CODE.fullmatch(str(node.value)):
                found.add(node.value)
    return found


def listed():
    """The codes that the README lists."""
    part = README.split("### What the checks find\n")[1].split("\n## ")[0]
    return set(re.findall(r"`([a-z]+(?:-[a-z]+)+)`", part)) - {"harbour-lights-first-try"}


def test_the_checks_use_the_codes_that_can_be_settled_and_those_of_settlements():
    assert in_checks() - {"left-out"} == set(CODES) | OF_SETTLEMENTS  # a kind of a drawing's note


def test_each_code_is_there_once_and_the_readme_lists_them_all():
    assert len(set(CODES)) == len(CODES)
    assert listed() == set(CODES) | OF_SETTLEMENTS


def test_editors_offer_every_code_that_can_be_settled():
    assert schema()["$defs"]["SettledTable"]["properties"]["code"]["enum"] == list(CODES)
