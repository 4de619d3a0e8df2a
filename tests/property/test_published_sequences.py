"""The properties against published sequences and counts.

The first terms stand here with their OEIS numbers. A folder `shared` beside the checkout, where there is one,
holds more of them, and the counts of quadratics, in its `reference` folder; the same tests then run on those.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml

from itembank.proof.claims import prove
from itembank.properties import array_tests, integer_tests
from itembank.properties.integer_tests import split_square, square_free_part
from itembank.verdicts import Proved

REFERENCE = Path(__file__).resolve().parents[3] / "shared" / "reference"

# OEIS sequence data, CC BY-SA 4.0; of A000290 and A013929 only the numbers, their terms were computed.
TERMS: dict[str, list[int]] = {
    "A000188": [1, 1, 1, 2, 1, 1, 1, 2, 3, 1, 1, 2, 1, 1, 1, 4, 1, 3, 1, 2, 1, 1, 1, 2, 5],
    "A000290": [0, 1, 4, 9, 16, 25, 36, 49, 64, 81, 100, 121, 144, 169, 196, 225, 256, 289, 324, 361],
    "A003658": [1, 5, 8, 12, 13, 17, 21, 24, 28, 29, 33, 37, 40, 41, 44, 53, 56, 57, 60, 61, 65, 69, 73],
    "A005117": [1, 2, 3, 5, 6, 7, 10, 11, 13, 14, 15, 17, 19, 21, 22, 23, 26, 29, 30, 31, 33, 34, 35, 37, 38],
    "A007913": [1, 2, 3, 1, 5, 6, 7, 2, 1, 10, 11, 3, 13, 14, 15, 1, 17, 2, 19, 5, 21, 22, 23, 6, 1],
    "A008833": [1, 1, 1, 4, 1, 1, 1, 4, 9, 1, 1, 4, 1, 1, 1, 16, 1, 9, 1, 4, 1, 1, 1, 4, 25],
    "A013929": [4, 8, 9, 12, 16, 18, 20, 24, 25, 27, 28, 32, 36, 40, 44, 45, 48, 49, 50, 52, 54, 56, 60],
    "A071172": [1, 7, 61, 608, 6083, 60794, 607926],
}  # fmt: skip


def _listed(holds: Callable[[int], bool], first: int, count: int) -> list[int]:
    """The first so many integers, from the given one on, at which something holds."""
    found: list[int] = []
    n = first
    while len(found) < count:
        found += [n] if holds(n) else []
        n += 1
    return found


def _fundamental_discriminant(n: int) -> bool:
    """Whether n is the discriminant of a real quadratic field (or 1), in terms of squarefree numbers."""
    if n % 4 == 1:
        return integer_tests.squarefree(n)
    return n % 4 == 0 and n // 4 % 4 in (2, 3) and integer_tests.squarefree(n // 4)


SEQUENCES: dict[str, Callable[[int], list[int]]] = {
    "A000188": lambda count: [split_square(n)[0] for n in range(1, count + 1)],
    "A000290": lambda count: _listed(integer_tests.is_square, -5, count),
    "A003658": lambda count: _listed(_fundamental_discriminant, 1, count),
    "A005117": lambda count: _listed(integer_tests.squarefree, -5, count),
    "A007913": lambda count: [square_free_part(n) for n in range(1, count + 1)],
    "A008833": lambda count: [split_square(n)[0] ** 2 for n in range(1, count + 1)],
    "A013929": lambda count: _listed(lambda n: not integer_tests.squarefree(n), 1, count),
    "A071172": lambda count: [int(_squarefree_up_to(10**k)) for k in range(count)],
}


def _squarefree_up_to(largest: int) -> int:
    return int(np.count_nonzero(array_tests.squarefree(np.arange(1, largest + 1))))


@pytest.mark.parametrize("sequence", TERMS)
def test_the_first_terms_of_a_published_sequence_come_out(sequence: str) -> None:
    terms = TERMS[sequence]

    assert terms == SEQUENCES[sequence](len(terms))


def test_proofs_name_the_squarefree_numbers_and_the_squares() -> None:
    for sequence, name in (("A005117", "squarefree"), ("A000290", "is_square")):
        terms = TERMS[sequence]

        assert terms == _listed(lambda n, name=name: isinstance(prove(name, n), Proved), -5, len(terms))


def test_up_to_100_stand_61_squarefree_numbers_10_squares_and_30_simplifiable_surds() -> None:
    numbers = np.arange(1, 101)
    kinds = (array_tests.squarefree, array_tests.is_square, array_tests.simplifiable_surd)
    counts = [np.count_nonzero(kind(numbers)) for kind in kinds]

    assert counts == [61, 10, 30]


# Of x^2 + 2hx + c = 0 with h, c not 0 in these ranges: computed elsewhere in plain integers and with PARI/GP.
_KINDS = (
    "total", "irrational", "irrational_simplifiable_surd", "irrational_surd_already_simplest",
    "rational_distinct", "repeated", "complex",
)  # fmt: skip
COUNTS = [
    (10, 20, dict(zip(_KINDS, (800, 636, 206, 430, 56, 8, 100), strict=True))),
    (12, 30, dict(zip(_KINDS, (1440, 1154, 378, 776, 86, 10, 190), strict=True))),
]


def _kinds(hold: Callable[..., Any], a: Any, b: Any, c: Any, radicand: Any) -> dict[str, Any]:
    """The kinds of equation in terms of properties; `hold` gives a property's value, or an array of them."""
    irrational = hold("irrational_roots", a, b, c)
    return {
        "irrational": irrational,
        "irrational_simplifiable_surd": irrational & hold("simplifiable_surd", radicand),
        "irrational_surd_already_simplest": irrational & hold("simplest_surd", radicand),
        "rational_distinct": hold("factorable", a, b, c) & hold("distinct_roots", a, b, c),
        "repeated": hold("repeated_root", a, b, c),
        "complex": hold("no_real_roots", a, b, c),
    }


def _counted_singly(hold: Callable[..., bool], most_h: int, most_c: int) -> dict[str, int]:
    counts: dict[str, int] = {"total": 0}
    for h, c in product(range(-most_h, most_h + 1), range(-most_c, most_c + 1)):
        if h and c:
            counts["total"] += 1
            for kind, holds in _kinds(hold, 1, 2 * h, c, h * h - c).items():
                counts[kind] = counts.get(kind, 0) + holds
    return counts


def _counted_at_once(most_h: int, most_c: int) -> dict[str, int]:
    h, c = np.meshgrid(np.arange(-most_h, most_h + 1), np.arange(-most_c, most_c + 1))
    asked = (h != 0) & (c != 0)
    h, c = h[asked], c[asked]
    hold = lambda name, *values: array_tests.ARRAY_TESTS[name](*values)  # noqa: E731 - a table made callable
    kinds = _kinds(hold, 1, 2 * h, c, h * h - c)
    return {"total": h.size} | {kind: int(np.count_nonzero(holds)) for kind, holds in kinds.items()}


def _searched(name: str, *values: int) -> bool:
    return integer_tests.INTEGER_TESTS[name](*values)


def _proved(name: str, *values: int) -> bool:
    return isinstance(prove(name, *values), Proved)


@pytest.mark.parametrize(("most_h", "most_c", "published"), COUNTS)
def test_the_kinds_of_monic_quadratics_are_as_many_as_published(
    most_h: int, most_c: int, published: dict[str, int]
) -> None:
    assert published == _counted_singly(_searched, most_h, most_c)
    assert published == _counted_singly(_proved, most_h, most_c)
    assert published == _counted_at_once(most_h, most_c)


@cache
def _reference(name: str) -> Any:
    path = REFERENCE / name
    if not path.exists():
        pytest.skip(f"no folder `shared` beside the checkout holds {name}")
    return yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.CSafeLoader)


@pytest.mark.parametrize("sequence", TERMS)
def test_all_terms_of_the_shared_reference_come_out(sequence: str) -> None:
    (entry,) = [entry for entry in _reference("surds.yaml")["sequences"] if entry["oeis"] == sequence]
    # Counts up to powers of ten run to 10^11; a table of all numbers up to 10^6 is enough here.
    terms = entry["terms"][:7] if sequence == "A071172" else entry["terms"]

    assert len(terms) >= len(TERMS[sequence])
    assert terms == SEQUENCES[sequence](len(terms))


def test_every_sequence_and_count_of_the_shared_reference_is_tested() -> None:
    sequences = {entry["oeis"] for entry in _reference("surds.yaml")["sequences"]}
    cases = _reference("quadratics.yaml")["generator_domain_counts"]["cases"]

    shared = [(c["h_range"][1], c["c_range"][1], {kind: c[kind] for kind in _KINDS}) for c in cases]

    assert sequences <= TERMS.keys()
    assert shared == COUNTS
