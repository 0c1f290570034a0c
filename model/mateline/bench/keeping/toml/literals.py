"""Values and keys as TOML writes them.

Stands beside layout. Values are those of JSON and of tomllib; {"$toml": "2027-04-05"} is a literal
that is taken as it is spelled, for what JSON has no words for.
"""

from __future__ import annotations

import re
import tomllib
from datetime import date, datetime, time
from math import isinf, isnan
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping

LITERAL = "$toml"
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_ESCAPES = {
    "\\": "\\\\",
    '"': '\\"',
    "\b": "\\b",
    "\t": "\\t",
    "\n": "\\n",
    "\f": "\\f",
    "\r": "\\r",
}
_NOT_LITERAL = re.compile(r"[\x00-\x1f\x7f']")
_CONTROL = re.compile(r'[\x00-\x1f\x7f"\\]')


class NotTomlError(Exception):
    """A value that TOML can't write: `what` says why, `remedy` what to give instead."""

    def __init__(self, what: str, remedy: str) -> None:
        super().__init__(what, remedy)
        self.what, self.remedy = what, remedy


def plain(value: Any) -> Any:
    """A value as tomllib reads it back: its literals read, all else copied.

    Raises NotTomlError where TOML has no such value.
    """
    if isinstance(value, dict):
        if set(value) == {LITERAL}:
            return _read(value[LITERAL])
        return {str(key): plain(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [plain(inner) for inner in value]
    if isinstance(value, str):
        if any("\ud800" <= letter <= "\udfff" for letter in value):
            raise NotTomlError("Half of a surrogate pair is no letter.", "Write the whole letter.")
        return value
    if isinstance(value, bool | int | float | date | time):
        return value
    raise NotTomlError(f"TOML can't write {value!r}.", "Remove the word instead.")


def _read(literal: Any) -> Any:
    """What a literal says; one value, on one line or an array or text over several."""
    remedy = f'Write one value of TOML, such as {{"{LITERAL}": "2027-04-05"}}.'
    if not isinstance(literal, str):
        raise NotTomlError(f"{literal!r} is no text of TOML.", remedy)
    try:  # in brackets a comment would swallow the one that closes, and two values would show
        alone, bracketed = (tomllib.loads(f"x = {each}") for each in (literal, f"[{literal}]"))
    except (ValueError, RecursionError):
        raise NotTomlError(f"“{literal}” is no value of TOML.", remedy) from None
    if {*alone, *bracketed} != {"x"} or len(bracketed["x"]) != 1 or literal != literal.strip():
        raise NotTomlError(f"“{literal}” is more than one value.", remedy)
    return alone["x"]


def key(name: str) -> str:
    """A key, in quotes where it must be."""
    return name if _BARE.fullmatch(name) else _text(name)


def value(given: Any) -> str:
    """A value on one line: arrays and tables in their brackets."""
    if isinstance(given, dict):
        return _table(given)
    if isinstance(given, list | tuple):
        return f"[{', '.join(value(inner) for inner in given)}]"
    if isinstance(given, str):
        return _text(given)
    if isinstance(given, datetime | date | time):
        return given.isoformat()
    return _number(given)


def value_like(spelled: str, given: Any) -> str:
    """A value, in the quotes of the one that it replaces where it can stand in them."""
    if isinstance(given, str):
        if spelled.startswith("'") and not _CONTROL.search(
            given.replace('"', "").replace("\\", "")
        ):
            return f"'{given}'" if "'" not in given else _text(given)
        if spelled.startswith('"""') and "\n" in given:
            lines = given.split("\n")
            return '"""\n' + "\n".join(_text(line)[1:-1] for line in lines) + '"""'
    return value(given)


def _table(given: Mapping[str, Any]) -> str:
    if set(given) == {LITERAL}:
        return str(given[LITERAL])
    inside = ", ".join(f"{key(name)} = {value(inner)}" for name, inner in given.items())
    return f"{{ {inside} }}" if inside else "{}"


def _text(given: str) -> str:
    return '"' + _CONTROL.sub(lambda found: _escaped(found[0]), given) + '"'


def _escaped(letter: str) -> str:
    return _ESCAPES.get(letter) or f"\\u{ord(letter):04X}"


def _number(given: float) -> str:  # or int, or bool
    if isinstance(given, int):
        return str(given).lower()
    if isnan(given):
        return "nan"
    if isinf(given):
        return "inf" if given > 0 else "-inf"
    return repr(given) if "." in repr(given) or "e" in repr(given) else f"{given!r}.0"
