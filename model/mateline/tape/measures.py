"""Named measures and the arithmetic between them: `depth - 2*board`, `(width - 1 1/2")/2`.

Stands after the readings. Parsed here, token by token; nothing is ever evaluated as code.

    sum      = product (("+" | "-") product)*
    product  = signed (("*" | "/") signed)*
    signed   = "-"* (reading | name | "(" sum ")")

What a hyphen means. Tight between two numbers it belongs to a reading, as on paper: `51-1/2` is
51 1/2. After a name or a bracket, or with a space before a number that cannot join the one before
it, it is a minus: `depth-1/2`, `depth - 1/2`, `10 - 3`. `51 - 1/2` could be either, so it is
refused. A slash without spaces between two whole numbers is a fraction: `3/4`; else it divides.

What a bare number means. Beside `*` or `/` it is a plain factor, beside `+` or `-` it is a reading
in the file's unit, and alone it is a reading. A length times a length, a number over a length, and
a ratio of two lengths added to a length are refused.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches
from enum import Enum
from fractions import Fraction
from graphlib import CycleError, TopologicalSorter
from typing import TYPE_CHECKING

from mateline.tape.accuracy import MM
from mateline.tape.reading import LONGEST_TEXT, ReadingError, parse_length, plain, quantity_of

if TYPE_CHECKING:
    from collections.abc import Mapping

DEEPEST = 40  # brackets and signs inside each other; no measure needs five
_NAME = re.compile(r"[a-z][a-z0-9_]*")
_MIXED = r"(?:[0-9]+/[0-9]+|[0-9]*[.,][0-9]+|[0-9]+(?:(?:\ +|-)[0-9]+/[0-9]+(?![0-9]))?)"
_UNIT = (
    r"(?:\ *(?:'|\"|(?:mm|cm|in|ft|m|inch|inches|foot|feet|(?:milli|centi)?met(?:re|er)s?)"
    r"(?![a-z0-9_])\.?))"
)
_READING = re.compile(rf"{_MIXED}{_UNIT}?(?:(?:\ *|-){_MIXED}{_UNIT}?)*")
_FRACTION = re.compile(r"([0-9]+)/([0-9]+)")
_UNIT_WORDS = re.compile(r"(?:mm|cm|m|in|ft|inch|inches|foot|feet|(?:milli|centi)?met(?:re|er)s?)")


class MeasureError(ReadingError):
    """A measure that cannot be worked out; `name` is the one in the table that is at fault."""

    def __init__(self, name: str, message: str) -> None:
        super().__init__(name, message)
        self.name, self.message = name, message

    def __str__(self) -> str:
        return f"{self.name}: {self.message}"


class _Kind(Enum):
    LENGTH = "a length"  # mm
    BARE = "a number"  # a reading in the file's unit, or a factor, as its neighbours decide
    RATIO = "a ratio"  # a number that can only be a factor


@dataclass(frozen=True, slots=True)
class _Value:
    amount: Fraction
    kind: _Kind


@dataclass(frozen=True, slots=True)
class _Token:
    kind: str  # "reading", "name", or the sign itself
    text: str


def evaluate(text: str, measures: Mapping[str, Fraction], unit: str) -> Fraction:
    """The length that `text` comes to, mm, exactly; `measures` are in mm. It may be negative.

    A text that is one reading comes to what `parse_length` makes of it.
    Raises ReadingError: not arithmetic, an unknown name, or no length.
    """
    tokens = _tokens(text)
    if len(tokens) == 1 and tokens[0].kind == "reading":
        return parse_length(text, unit)
    value = _Parser(text, tokens, measures, unit).whole()
    if value.kind is _Kind.RATIO:
        raise ReadingError(f"“{text}” comes to a plain number, and a length is wanted here.")
    return value.amount if value.kind is _Kind.LENGTH else value.amount * MM[unit]


def resolved(table: Mapping[str, str], unit: str) -> dict[str, Fraction]:
    """Every measure of `table` in mm, in the table's order; entries may use each other.

    Raises MeasureError: a name that no expression could use, an unknown name, a cycle, bad text.
    """
    uses: dict[str, list[str]] = {}
    for name, text in table.items():
        _refuse_name(name)
        uses[name] = [token.text for token in _named(name, text) if token.kind == "name"]
        for used in uses[name]:
            if used not in table:
                raise MeasureError(name, _unknown(used, table))
    try:
        order = list(TopologicalSorter(uses).static_order())
    except CycleError as error:
        ring = error.args[1][::-1]
        said = " → ".join(ring)
        raise MeasureError(
            ring[0], f"these measures go round in a circle: {said}. Give one of them a reading."
        ) from None
    known: dict[str, Fraction] = {}
    for name in order:
        try:
            known[name] = evaluate(table[name], known, unit)
        except ReadingError as error:
            raise MeasureError(name, str(error)) from None
    return {name: known[name] for name in table}


def _named(name: str, text: str) -> list[_Token]:
    try:
        return _tokens(text)
    except ReadingError as error:
        raise MeasureError(name, str(error)) from None


def _refuse_name(name: str) -> None:
    if _NAME.fullmatch(name) is None:
        raise MeasureError(
            name, "a measure's name is small letters, digits and _, and starts with a letter."
        )
    if _UNIT_WORDS.fullmatch(name):
        raise MeasureError(name, "this is the name of a unit; call the measure something else.")


def _unknown(name: str, known: Mapping[str, object]) -> str:
    near = get_close_matches(name, known, n=1)
    if near:
        return f"there is no measure “{name}”; did you mean “{near[0]}”?"
    return f"there is no measure “{name}”; there are {', '.join(known) or 'none'}."


def _tokens(text: str) -> list[_Token]:
    level = plain(text)
    if not level:
        raise ReadingError("There is nothing here; write a reading or arithmetic on measures.")
    if len(level) > LONGEST_TEXT:
        raise ReadingError(
            f"“{text[:40]}…” has over {LONGEST_TEXT} characters; use named measures."
        )
    tokens: list[_Token] = []
    at = 0
    while at < len(level):
        if level[at] == " ":
            at += 1
        elif (reading := _READING.match(level, at)) is not None:
            tokens.append(_Token("reading", reading[0]))
            at = reading.end()
        elif (name := _NAME.match(level, at)) is not None:
            tokens.append(_Token("name", name[0]))
            at = name.end()
        elif level[at] in "+-*/()":
            tokens.append(_Token(level[at], level[at]))
            at += 1
        else:
            raise ReadingError(
                f"“{level[at]}” in “{text}” is neither a length, a name nor + - * / ( )."
            )
    return tokens


class _Parser:
    """One pass over the tokens, one method a line of the grammar at the top."""

    def __init__(
        self, text: str, tokens: list[_Token], measures: Mapping[str, Fraction], unit: str
    ) -> None:
        self.text, self.tokens, self.measures, self.unit = text, tokens, measures, unit
        self.at = self.depth = 0

    def whole(self) -> _Value:
        value = self._sum()
        if self.at < len(self.tokens):
            raise self._fault(
                f"“{self.tokens[self.at].text}” is not expected there; is a * missing?"
            )
        return value

    def _sum(self) -> _Value:
        value = self._product()
        while (sign := self._taken("+", "-")) is not None:
            if sign == "-":
                self._refuse_joint()
            value = self._added(value, self._product(), 1 if sign == "+" else -1)
        return value

    def _product(self) -> _Value:
        value = self._signed()
        while (sign := self._taken("*", "/")) is not None:
            other = self._signed()
            value = self._times(value, other) if sign == "*" else self._over(value, other)
        return value

    def _signed(self) -> _Value:
        self.depth += 1
        if self.depth > DEEPEST:
            raise self._fault(f"more than {DEEPEST} brackets and signs stand inside each other.")
        try:
            if self._taken("-"):
                value = self._signed()
                return _Value(-value.amount, value.kind)
            if self._taken("("):
                value = self._sum()
                if not self._taken(")"):
                    raise self._fault("a bracket is not closed.")
                return value
            return self._atom()
        finally:
            self.depth -= 1

    def _atom(self) -> _Value:
        if self.at == len(self.tokens):
            raise self._fault("something is missing at its end.")
        token = self.tokens[self.at]
        self.at += 1
        if token.kind == "name":
            if token.text not in self.measures:
                raise self._fault(_unknown(token.text, self.measures))
            return _Value(self.measures[token.text], _Kind.LENGTH)
        if token.kind != "reading":
            raise self._fault(f"“{token.text}” stands where a length or a name should.")
        ratio = _FRACTION.fullmatch(token.text)
        if ratio is not None and 0 < int(ratio[2]) <= int(ratio[1]):  # depth*3/2: 3 over 2
            return _Value(Fraction(int(ratio[1]), int(ratio[2])), _Kind.RATIO)
        quantity = quantity_of(token.text, self.unit)
        return _Value(quantity.amount, _Kind.LENGTH if quantity.named else _Kind.BARE)

    def _taken(self, *signs: str) -> str | None:
        if self.at < len(self.tokens) and self.tokens[self.at].kind in signs:
            self.at += 1
            return self.tokens[self.at - 1].kind
        return None

    def _refuse_joint(self) -> None:
        """Refuse `51 - 1/2`, which the tape reads as 51 1/2 and arithmetic as 50 1/2."""
        if self.at < 2 or self.at == len(self.tokens):
            return
        left, right = self.tokens[self.at - 2], self.tokens[self.at]
        if left.kind != "reading" or right.kind != "reading":
            return
        try:
            parse_length(f"{left.text} - {right.text}", self.unit)
        except ReadingError:
            return
        raise self._fault(
            f"“{left.text} - {right.text}” could be one reading or a difference; "
            f"write {left.text} {right.text}, or {left.text} - ({right.text})."
        )

    def _added(self, left: _Value, right: _Value, sign: int) -> _Value:
        kinds = {left.kind, right.kind}
        if kinds == {_Kind.LENGTH, _Kind.RATIO}:
            raise self._fault("a plain number cannot be added to a length or taken from one.")
        if kinds == {_Kind.LENGTH, _Kind.BARE}:
            left, right = self._as_length(left), self._as_length(right)
        kind = _Kind.RATIO if _Kind.RATIO in kinds else left.kind
        return _Value(left.amount + sign * right.amount, kind)

    def _as_length(self, value: _Value) -> _Value:
        factor = MM[self.unit] if value.kind is _Kind.BARE else 1
        return _Value(value.amount * factor, _Kind.LENGTH)

    def _times(self, left: _Value, right: _Value) -> _Value:
        kinds = {left.kind, right.kind}
        if kinds == {_Kind.LENGTH}:
            raise self._fault("a length times a length is an area, and a length is wanted here.")
        return _Value(left.amount * right.amount, _strongest(kinds))

    def _over(self, left: _Value, right: _Value) -> _Value:
        if right.amount == 0:
            raise self._fault("it divides by zero.")
        amount = left.amount / right.amount
        if right.kind is not _Kind.LENGTH:
            return _Value(amount, _strongest({left.kind, right.kind}))
        if left.kind is not _Kind.LENGTH:
            raise self._fault("a number divided by a length is no length.")
        return _Value(amount, _Kind.RATIO)

    def _fault(self, what: str) -> ReadingError:
        return ReadingError(f"“{self.text}” cannot be worked out: {what}")


def _strongest(kinds: set[_Kind]) -> _Kind:
    return next(kind for kind in (_Kind.LENGTH, _Kind.RATIO, _Kind.BARE) if kind in kinds)
