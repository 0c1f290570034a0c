"""Which elements the selectors of a style sheet mean, found in a bounded number of steps.

Stands before the cascade. Selectors are parsed by cssselect2, and so is each compound of one;
how compounds follow one another is looked up here, each pair of compound and element once, since
trying every ancestor again and again takes for ever on a sheet made for that. Source:
Selectors 4, 14 and 15 (combinators), 17 (specificity).
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

MOST_TESTS = 1_000_000  # of an element against a compound, in one drawing
MOST_TOKENS = 200  # of one selector
# What counts siblings costs one test for each of them.
COUNTING = frozenset(
    ["first-of-type", "last-of-type", "only-of-type", "nth-last-child", "nth-of-type",
     "nth-last-of-type"]
)  # fmt: skip


class TooMuchStyleError(ValueError):
    """A style sheet that would take for ever."""


@dataclass(frozen=True, slots=True)
class _Compound:
    """One compound of a selector, and the combinator before it ("" before the first)."""

    combinator: str
    test: Any
    counts: bool


@dataclass(slots=True)
class _Elements:
    """The elements of a drawing by what a compound may ask for."""

    every: list[Any]
    by_id: dict[str, list[Any]] = field(default_factory=lambda: defaultdict(list))
    by_class: dict[str, list[Any]] = field(default_factory=lambda: defaultdict(list))
    by_name: dict[str, list[Any]] = field(default_factory=lambda: defaultdict(list))


class Selectors:
    """Finds the elements of one drawing that selectors mean."""

    def __init__(self, root: Any) -> None:
        import cssselect2  # noqa: PLC0415  # most drawings have no style sheet

        every = list(cssselect2.ElementWrapper.from_xml_root(root).iter_subtree())
        self._elements = _Elements(every)
        for one in every:
            self._elements.by_id[one.id].append(one)
            self._elements.by_name[one.local_name.lower()].append(one)
            for name in one.classes:
                self._elements.by_class[name].append(one)
        self._tests = self._expected = 0

    def expect(self, prelude: Sequence[Any]) -> None:
        """Count the elements that selectors before a rule must be compared with at least.

        Raises TooMuchStyleError where that would take for ever; what can't be read counts nothing.
        """
        from cssselect2 import parser  # noqa: PLC0415  # as above

        try:
            _refuse_long(prelude)
            for selector in parser.parse(prelude):
                if selector.pseudo_element is None:
                    self._expected += len(self._candidates(selector.parsed_tree))
        except ValueError:
            return
        if self._expected > MOST_TESTS:
            raise _too_much(self._expected)

    def found(self, prelude: Sequence[Any]) -> Iterator[tuple[Any, tuple[int, int, int]]]:
        """Elements that the selectors before a rule mean, each with the specificity.

        Raises ValueError for selectors that can't be read, and TooMuchStyleError.
        """
        from cssselect2 import parser  # noqa: PLC0415  # as above

        _refuse_long(prelude)
        for selector in list(parser.parse(prelude)):
            if selector.pseudo_element is None:
                compounds = _compounds(selector.parsed_tree)
                known: dict[tuple[int, str, Any], bool] = {}
                for one in self._candidates(selector.parsed_tree):
                    if self._matches(compounds, len(compounds) - 1, one, known):
                        yield one.etree_element, selector.specificity

    def _candidates(self, tree: Any) -> list[Any]:
        from cssselect2 import parser  # noqa: PLC0415  # as above

        last = tree.right if isinstance(tree, parser.CombinedSelector) else tree
        found = self._elements.every
        for simple in last.simple_selectors:
            if isinstance(simple, parser.IDSelector):
                return self._elements.by_id.get(simple.ident, [])
            if isinstance(simple, parser.ClassSelector):
                return self._elements.by_class.get(simple.class_name, [])
            if isinstance(simple, parser.LocalNameSelector):
                found = self._elements.by_name.get(simple.lower_local_name, [])
        return found

    def _matches(
        self, compounds: list[_Compound], at: int, one: Any, known: dict[tuple[int, str, Any], bool]
    ) -> bool:
        """Whether an element is meant by the compounds up to number `at`."""
        key = (at, "", one.etree_element)
        if key not in known:
            compound = compounds[at]
            self._tests += 1
            if compound.counts and one.parent is not None:
                self._tests += len(one.parent.etree_element)
            if self._tests > MOST_TESTS:
                raise _too_much(self._tests)
            known[key] = bool(compound.test(one)) and (
                at == 0 or self._linked(compounds, at, one, known)
            )
        return known[key]

    def _linked(
        self, compounds: list[_Compound], at: int, one: Any, known: dict[tuple[int, str, Any], bool]
    ) -> bool:
        """Whether what stands before an element is meant by the compounds before number `at`."""
        way = compounds[at].combinator
        step = "parent" if way in {" ", ">"} else "previous"
        walked, answer = [], False
        while (other := getattr(one, step)) is not None:
            key = (at - 1, way, one.etree_element)
            if key in known:
                answer = known[key]
                break
            walked.append(key)
            answer = self._matches(compounds, at - 1, other, known)
            if answer or way in {">", "+"}:
                break
            one = other
        known.update(dict.fromkeys(walked, answer))
        return answer


def _too_much(least: int) -> TooMuchStyleError:
    return TooMuchStyleError(
        f"the style sheet asks for more than {MOST_TESTS} comparisons with elements, "
        f"{least} at least"
    )


def _refuse_long(prelude: Sequence[Any]) -> None:
    count = 0
    for token in prelude:
        count = 0 if token == "," else count + 1  # noqa: S105  # no password
        if count > MOST_TOKENS:
            raise ValueError(f"a selector has more than {MOST_TOKENS} parts")


def _compounds(tree: Any) -> list[_Compound]:
    """The compounds of a selector, the first one first."""
    from cssselect2 import parser  # noqa: PLC0415  # as above

    parts = []
    while isinstance(tree, parser.CombinedSelector):
        parts.append((tree.combinator, tree.right))
        tree = tree.left
    parts.append(("", tree))
    return [_compound(way, one) for way, one in reversed(parts)]


def _compound(way: str, tree: Any) -> _Compound:
    from cssselect2 import compiler, parser  # noqa: PLC0415  # as above

    _refuse_nested(tree)
    counts = any(getattr(one, "name", "") in COUNTING for one in _simple(tree))
    return _Compound(way, compiler.CompiledSelector(parser.Selector(tree)).test, counts)


def _refuse_nested(tree: Any) -> None:
    from cssselect2 import SelectorError, parser  # noqa: PLC0415  # as above

    for one in tree.simple_selectors:
        if isinstance(one, parser.RelationalSelector):
            raise SelectorError(one, "':has' is not read")
        for inner in getattr(one, "selector_list", ()):
            if isinstance(inner.parsed_tree, parser.CombinedSelector):
                raise SelectorError(inner, "a combinator inside brackets is not read")
            _refuse_nested(inner.parsed_tree)


def _simple(tree: Any) -> Iterator[Any]:
    for one in tree.simple_selectors:
        yield one
        for inner in getattr(one, "selector_list", ()):
            yield from _simple(inner.parsed_tree)
