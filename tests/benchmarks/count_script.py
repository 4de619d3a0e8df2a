"""Exact counts of two boxes of 10^8 assignments by `itertools.product`, and templates of the same boxes.

    python count_script.py --parameters 3

The predicate is Python's own compiled code within one generator expression, cheapest test first: no call of
a function of ours per assignment. The whole box is counted, nothing is extrapolated: slices of it would
mislead, since the count of one `a` depends on its divisors. Prints JSON: assignments, count, seconds.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from itertools import product
from math import gcd, isqrt

ASSIGNMENTS = 10**8
LEADING = range(1, 101)
WIDE = range(-500, 500)
NARROW = range(-50, 50)

_HEAD = """\
template: {name}
version: 1
title: Solve a quadratic equation with irrational solutions
language: en
topics: [quadratics/solving]
level: benchmark
demand: use
calculator: no
minutes: 3
unknowns: [x]
"""

TEMPLATES = {
    3: _HEAD.format(name="count-three")
    + """\
parameters:
  a: {from: 1, to: 100}
  b: {from: -500, to: 499}
  c: {from: -500, to: 499}
constraints:
  - mod(b, 2) = 0
  - b^2 - 4*a*c > 0
  - gcd(a, b, c) = 1
  - not is_square(b^2 - 4*a*c)
problem: a*x^2 + b*x + c = 0
stem: Solve $problem$.
response: {kind: entry, marks: 1, blanks: {x: {form: surd, values: any-order}}}
key: x = (-b ± sqrt(b^2 - 4*a*c))/(2*a)
solution:
  - math: x = (-b ± sqrt(b^2 - 4*a*c))/(2*a)
    marks: A1
""",
    4: _HEAD.format(name="count-four")
    + """\
parameters:
  a: {from: 1, to: 100}
  b: {from: -50, to: 49}
  c: {from: -50, to: 49}
  d: {from: -50, to: 49}
constraints:
  - b^2 - 4*a*(c - d) > 0
  - gcd(a, b, c - d) = 1
  - not is_square(b^2 - 4*a*(c - d))
problem: a*x^2 + b*x + c = d
stem: Solve $problem$.
response: {kind: entry, marks: 1, blanks: {x: {form: surd, values: any-order}}}
key: x = (-b ± sqrt(b^2 - 4*a*(c - d)))/(2*a)
solution:
  - math: x = (-b ± sqrt(b^2 - 4*a*(c - d)))/(2*a)
    marks: A1
""",
}


def count_three() -> int:
    """How many a, b, c of the first box are feasible."""
    return sum(
        1
        for a, b, c in product(LEADING, WIDE, WIDE)
        if b % 2 == 0 and (D := b * b - 4 * a * c) > 0 and gcd(a, b, c) == 1 and isqrt(D) ** 2 != D
    )


def count_four() -> int:
    """How many a, b, c, d of the second box are feasible."""
    return sum(
        1
        for a, b, c, d in product(LEADING, NARROW, NARROW, NARROW)
        if (D := b * b - 4 * a * (c - d)) > 0 and gcd(a, b, c - d) == 1 and isqrt(D) ** 2 != D
    )


def main() -> None:
    """Count and report it."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n\n")[0])
    parser.add_argument("--parameters", type=int, choices=(3, 4), required=True)
    parameters = parser.parse_args().parameters
    start = time.perf_counter()
    count = count_three() if parameters == 3 else count_four()
    seconds = time.perf_counter() - start
    report = {"assignments": ASSIGNMENTS, "count": count, "seconds": seconds}
    json.dump(report, sys.stdout)
    print()


if __name__ == "__main__":
    main()
