"""What an edit did is told by what findings are about, not by the names that pieces have."""

from dataclasses import dataclass

import pytest

from mateline.bench.differences import difference
from mateline.checks.findings import Finding


@dataclass(frozen=True)
class Cut:
    pieces: tuple


@dataclass(frozen=True)
class Prepared:
    """As much of a job as a difference looks at."""

    findings: tuple
    stencils: tuple


def job(*findings, pieces=0):
    return Prepared(findings, (Cut((0,) * pieces), Cut((0,))))


def found(code="piece-tiny", at=(10.0, 20.0), face="box-top", **more):
    return Finding(code, "warn", "It is tiny.", "Widen it.", face=face, at=at, **more)


@pytest.mark.parametrize(("before", "after", "said"), [
    (job(), job(found()), "1 finding more"),
    (job(found(), found(at=(500, 1)), found(at=(700, 1))), job(pieces=2),
     "3 findings less, 2 pieces more"),
    (job(found(), pieces=3), job(found(code="tip-sharp"), pieces=2),
     "1 finding more, 1 finding less, 1 piece less"),
    (job(found(face="box-top")), job(found(face="box-left")), "1 finding more, 1 finding less"),
    (job(found(hardware="latch")), job(found(hardware="bolt")), "1 finding more, 1 finding less"),
    (job(found(at=(10, 20))), job(found(at=(10, 45))), "1 finding more, 1 finding less"),
])  # fmt: skip
def test_what_is_more_and_less_is_said(before, after, said):
    assert difference(before, after).said == said


@pytest.mark.parametrize("after", [
    job(found()), job(found(piece="box-top T2")), job(found(at=(15, 28))), job(found(at=None)),
])  # fmt: skip
def test_a_finding_that_moved_a_little_or_has_another_piece_is_the_same(after):
    assert difference(job(found(piece="box-top T1")), after) is None


def test_a_finding_is_matched_with_the_one_in_its_place_before_one_near_it():
    first, second = found(at=(10, 20)), found(at=(18, 20))
    change = difference(job(first, second), job(second))
    assert change.gone == (first,)


def test_what_comes_of_a_finding_counts_too():
    cause = found(code="reading-suspect", consequences=(found(), found(at=(90, 90))))
    assert difference(job(cause), job()).said == "3 findings less"
    assert difference(job(cause), job(found(), found(at=(90, 90)))).said == "1 finding less"


def test_thousands_of_findings_that_all_moved_are_matched():
    before = [found(at=(30.0 * n, 7.0 * (n % 90))) for n in range(3000)]
    after = [found(at=(each.at[0] + 3, each.at[1] - 2)) for each in before]
    assert difference(job(*before), job(*after)) is None
