"""Random expressions for the laws: trees as `parse` returns them, and values for their names.

Every tree here is one that a text can be parsed into: products are flat and have two factors or more, numerals are
not negative, at most one ± stands in a statement.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from hypothesis import strategies as st

from itembank.expressions import tree
from itembank.expressions.tree import Node

PARAMETERS = ("h", "k", "m")
LETTERS = ("x", "y", "x_1", "alpha", "area")

_small = st.integers(0, 12).map(lambda n: tree.Number(Fraction(n)))
_decimals = st.builds(
    lambda n, places: tree.Number(Fraction(n, 10**places), places), st.integers(0, 400), st.integers(1, 2)
)


def numerals(*, decimals: bool = False) -> st.SearchStrategy[Node]:
    """Numerals from 0 to 12, or up to 40.0 with one or two places."""
    return st.one_of(_small, _decimals) if decimals else _small


def names(among: Sequence[str]) -> st.SearchStrategy[Node]:
    """One of the names."""
    return st.sampled_from([tree.Name(name) for name in among])


def product(factors: Sequence[Node]) -> Node:
    """The flat product of two or more factors."""
    flat: list[Node] = []
    for factor in factors:
        flat.extend(factor.factors if isinstance(factor, tree.Product) else (factor,))
    return tree.Product(tuple(flat))


def _sums(terms: st.SearchStrategy[Node], signs: str = "+-") -> st.SearchStrategy[Node]:
    rest = st.lists(st.tuples(st.sampled_from(signs), terms), min_size=1, max_size=2).map(tuple)
    return st.builds(lambda first, more: tree.Sum(first, more), terms, rest)


def _powers(bases: st.SearchStrategy[Node], exponents: Sequence[int]) -> st.SearchStrategy[Node]:
    def raised(base: Node, exponent: int) -> Node:
        size = tree.Number(Fraction(abs(exponent)))
        return tree.Power(base, size if exponent >= 0 else tree.Negation(size))

    return st.builds(raised, bases, st.sampled_from(exponents))


def terms(
    leaves: st.SearchStrategy[Node],
    *,
    roots: bool = False,
    quotients: bool = True,
    functions: bool = False,
    exponents: Sequence[int] = (0, 1, 2, 3, -1, -2),
    display_words: Sequence[str] = (),
    size: int = 8,
) -> st.SearchStrategy[Node]:
    """Terms over some leaves. functions: `abs`, `gcd` and their like; display_words: `keep` and its like."""

    def extended(inner: st.SearchStrategy[Node]) -> st.SearchStrategy[Node]:
        kinds = [
            inner.map(tree.Negation),
            _sums(inner),
            st.lists(inner, min_size=2, max_size=3).map(product),
            _powers(inner, exponents),
        ]
        if quotients:
            kinds.append(st.builds(tree.Quotient, inner, inner))
        if roots:
            kinds.append(inner.map(lambda part: tree.Call("sqrt", (part,))))
        if functions:
            kinds += _calls(inner)
        kinds += [inner.map(lambda part, word=word: tree.Call(word, (part,))) for word in display_words]
        return st.one_of(kinds)

    return st.recursive(leaves, extended, max_leaves=size)


def _calls(inner: st.SearchStrategy[Node]) -> list[st.SearchStrategy[Node]]:
    several = st.lists(inner, min_size=2, max_size=3).map(tuple)
    one = st.tuples(inner)
    pair = st.tuples(inner, inner)
    rounded = st.tuples(inner, st.integers(0, 2).map(lambda n: tree.Number(Fraction(n))))
    return [
        *(
            several.map(lambda parts, name=name: tree.Call(name, parts))
            for name in ("gcd", "lcm", "min", "max")
        ),
        *(
            one.map(lambda parts, name=name: tree.Call(name, parts))
            for name in ("abs", "numerator", "denominator")
        ),
        pair.map(lambda parts: tree.Call("mod", parts)),
        st.one_of(one, rounded).map(lambda parts: tree.Call("round", parts)),
    ]


def rational_terms(among: Sequence[str] = PARAMETERS, *, size: int = 8) -> st.SearchStrategy[Node]:
    """Terms with a rational value for rational values of their names."""
    return terms(
        st.one_of(numerals(), names(among)), functions=True, display_words=("keep", "value"), size=size
    )


def radical_terms(among: Sequence[str] = PARAMETERS, *, size: int = 6) -> st.SearchStrategy[Node]:
    """Terms with square roots."""
    leaves = st.one_of(numerals(), names(among))
    return terms(leaves, roots=True, exponents=(0, 1, 2, -1), size=size)


def polynomial_terms(among: Sequence[str], *, size: int = 6) -> st.SearchStrategy[Node]:
    """Terms that are polynomials in their names."""
    return terms(st.one_of(numerals(), names(among)), quotients=False, exponents=(1, 2, 3), size=size)


@st.composite
def with_either_sign(draw: st.DrawFn, inner: st.SearchStrategy[Node]) -> Node:
    """A term in which one ± stands somewhere."""
    part = draw(inner)
    shape = draw(st.sampled_from(["lead", "sum", "scaled", "over"]))
    lead = tree.PlusMinus(part)
    pair = lead if shape == "lead" else tree.Sum(draw(inner), (("±", part),))
    if shape == "scaled":
        return product([draw(numerals()), pair])
    return tree.Quotient(pair, draw(names(PARAMETERS[:2]))) if shape == "over" else pair


def statements(operands: st.SearchStrategy[Node], *, negated: bool = True) -> st.SearchStrategy[Node]:
    """Relations of two or three operands, joined by words."""
    signs = st.sampled_from(["=", "!=", "<", "<=", ">", ">="])
    chains = st.sampled_from([("=", "="), ("<", "<="), ("<=", "<="), (">", ">"), ("=", "<")])
    relations = st.one_of(
        st.builds(lambda a, sign, b: tree.Relation((a, b), (sign,)), operands, signs, operands),
        st.builds(lambda a, b, c, ops: tree.Relation((a, b, c), ops), operands, operands, operands, chains),
    )

    def extended(inner: st.SearchStrategy[Node]) -> st.SearchStrategy[Node]:
        parts = st.lists(inner, min_size=2, max_size=3).map(tuple)
        kinds = [parts.map(tree.And), parts.map(tree.Or)]
        return st.one_of([*kinds, inner.map(tree.Not)] if negated else kinds)

    return st.recursive(relations, extended, max_leaves=4)


def rationals(low: int = -6, high: int = 6) -> st.SearchStrategy[Fraction]:
    """Whole numbers, halves and thirds."""
    return st.builds(Fraction, st.integers(low, high), st.sampled_from([1, 1, 1, 2, 3]))


def values(among: Sequence[str], *, whole: bool = False) -> st.SearchStrategy[dict[str, Fraction]]:
    """A value for each name."""
    each = st.integers(-6, 6).map(Fraction) if whole else rationals()
    return st.fixed_dictionaries(dict.fromkeys(among, each))
