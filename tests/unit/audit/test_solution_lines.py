"""Lines of a worked solution: what each kind promises, and what breaks the promise."""

from __future__ import annotations

import pytest
from lxml import etree

from itembank.audit.content_reader import read_content
from itembank.audit.facts import Line, Part
from itembank.audit.formula import Node, Scope
from itembank.audit.mathematics import Mathematics
from itembank.audit.part_view import PartView
from itembank.audit.solution_check import check_key, check_lines
from tests.audit_samples import MATHML, ap, ci, cn, either

x, u, k, D, m = (ci(name) for name in "xukDm")
ZERO = cn(0)
SQUARE = ap("power", x, cn(2))
QUADRATIC = ap("plus", ap("minus", SQUARE, ap("times", cn(8), x)), cn(3))
PROBLEM = ap("eq", QUADRATIC, ZERO)
KEY = ap("eq", x, either(cn(4), ap("root", cn(13))))


def node(content: str) -> Node:
    """The tree of content MathML."""
    return read_content(etree.fromstring(f'<x xmlns="{MATHML}">{content}</x>')[0])


def minus(content: str) -> str:
    """A leading minus."""
    return ap("minus", content)


def part(
    problem: str = PROBLEM, key: str = KEY, *lines: tuple[str, str], shape: str = "solve", unknowns: str = "x",
    for_every: str = "", domain: str = "", main_letter: str = "", label: str = "",
) -> Part:  # fmt: skip
    """A part with lines of (kind, content)."""
    told = tuple(Line(number, kind, node(maths), ()) for number, (kind, maths) in enumerate(lines, 1))
    return Part(
        label, shape, "choice", tuple(unknowns), tuple(for_every), Scope(tuple(unknowns), main_letter), node(problem),
        node(domain) if domain else None, node(key), told, (),
    )  # fmt: skip


def faults(given: Part, *earlier: Part, thorough: bool = False) -> list[tuple[str, str]]:
    """(code, place) of everything wrong with the key and the lines."""
    view = PartView(given, earlier, None, None, (), Mathematics(thorough=thorough))
    return [(fault.code, fault.place) for fault in (*check_key(view), *check_lines(view))]


APPROX = ap("or", ap("approx", x, cn("7.61")), ap("approx", x, cn("0.39")))


@pytest.mark.parametrize("thorough", [False, True])
@pytest.mark.parametrize(
    ("kind", "maths"),
    [
        ("main", ap("eq", ap("minus", SQUARE, ap("times", cn(8), x)), minus(cn(3)))),
        ("main", ap("eq", ap("power", ap("minus", x, cn(4)), cn(2)), cn(13))),
        ("main", ap("eq", ap("plus", cn(16), minus(cn(3))), cn(13))),
        ("main", APPROX),
        ("aside", ap("eq", ap("plus", cn(16), minus(cn(3))), cn(13))),
        (
            "aside",
            ap(
                "eq",
                ap("power", ap("minus", x, cn(4)), cn(2)),
                ap("plus", ap("minus", SQUARE, ap("times", cn(8), x)), cn(16)),
            ),
        ),
        ("aside", ap("gt", x, ZERO)),
        ("aside", ap("eq", D, ap("minus", cn(64), cn(12)), cn(52))),
        ("aside", ap("approx", ap("root", cn(13)), cn("3.606"))),
        ("let", ap("eq", u, ap("minus", x, cn(4)))),
    ],
)
def test_a_line_that_keeps_its_promise_passes(kind: str, maths: str, thorough: bool) -> None:
    """One right line of each kind."""
    assert [] == faults(part(PROBLEM, KEY, (kind, maths)), thorough=thorough)


@pytest.mark.parametrize(
    ("code", "kind", "maths"),
    [
        ("line-differs", "main", ap("eq", ap("power", ap("minus", x, cn(4)), cn(2)), cn(19))),
        ("line-differs", "main", ap("eq", x, ap("plus", cn(4), ap("root", cn(13))))),
        ("line-differs", "main", ap("eq", ap("plus", cn(16), minus(cn(3))), cn(19))),
        ("line-differs", "main", "<emptyset/>"),
        ("line-differs", "main", QUADRATIC),
        ("line-differs", "main", ap("eq", u, cn(4))),
        ("line-differs", "main", ap("or", ap("approx", x, cn("7.61")), ap("approx", x, cn("0.38")))),
        ("line-differs", "main", ap("approx", x, cn("7.61"))),
        ("line-differs", "main", ap("or", APPROX, ap("approx", x, cn("5.00")))),
        ("line-differs", "let", ap("minus", x, cn(4))),
        ("aside-not-true", "aside", ap("eq", cn(16), cn(13))),
        ("aside-not-true", "aside", ap("approx", ap("root", cn(13)), cn("3.605"))),
        ("aside-not-true", "aside", ap("gt", x, cn(1))),
        ("aside-not-true", "aside", ap("eq", D, ap("minus", cn(64), cn(12)), cn(53))),
        ("aside-not-true", "aside", QUADRATIC),
        ("wrong-rejection", "rejects", ap("eq", x, minus(cn(5)))),
        ("cannot-tell", "main", ap("eq", ap("power", x, ap("root", cn(2))), cn(5))),
    ],
)
def test_a_line_that_breaks_its_promise_is_found(code: str, kind: str, maths: str) -> None:
    """One wrong line of each kind, told at its place."""
    assert [(code, "line 1")] == faults(part(PROBLEM, KEY, (kind, maths)))


def test_a_letter_that_was_introduced_may_be_used_afterwards() -> None:
    """Let u = x − 4; then u² = 13."""
    let = ("let", ap("eq", u, ap("minus", x, cn(4))))
    right, wrong = (("main", ap("eq", ap("power", u, cn(2)), cn(number))) for number in (13, 14))

    assert [] == faults(part(PROBLEM, KEY, let, right))
    assert [("line-differs", "line 2")] == faults(part(PROBLEM, KEY, let, wrong))


def test_a_line_may_stand_before_or_after_a_root_is_given_up() -> None:
    """x² = 9 with x > 0: both roots, then the one that is left."""
    both = ap("or", ap("eq", x, cn(3)), ap("eq", x, minus(cn(3))))
    negative, positive = ap("eq", x, minus(cn(3))), ap("eq", x, cn(3))
    domain = ap("gt", x, ZERO)
    problem = ap("eq", SQUARE, cn(9))
    right = part(problem, positive, ("main", both), ("rejects", negative), ("main", positive), domain=domain)
    wrong = part(problem, positive, ("main", negative), ("rejects", positive), domain=domain)

    assert [] == faults(right)
    assert [("line-differs", "line 1"), ("wrong-rejection", "line 2")] == faults(wrong)
    assert [("wrong-key", "")] == faults(part(problem, both, domain=domain))


def test_the_letter_of_a_discriminant_is_no_unknown() -> None:
    """x² + kx + 9 has equal roots: k = ±6; where two letters are given, the letter is said."""
    problem = ap(
        "eq",
        f"<apply><csymbol>discriminant</csymbol>{ap('plus', ap('plus', SQUARE, ap('times', k, x)), cn(9))}</apply>",
        ZERO,
    )
    line = ("main", ap("eq", ap("minus", ap("power", k, cn(2)), cn(36)), ZERO))
    key = ap("eq", k, either(cn(6)))

    assert [] == faults(part(problem, key, line, unknowns="k"), thorough=True)
    assert [] == faults(part(problem, key, line, unknowns="k", main_letter="x"))
    assert [("wrong-key", "")] == faults(part(problem, key, unknowns="k", main_letter="k"))


def test_a_line_without_the_unknowns_holds_for_every_value() -> None:
    """x² − 6x + m = (x − 3)²: the squares of a line agree for every x."""
    square = ap("power", ap("minus", x, cn(3)), cn(2))
    problem = ap("eq", ap("plus", ap("minus", SQUARE, ap("times", cn(6), x)), m), square)
    nine, eight = (
        ap("eq", ap("plus", ap("minus", SQUARE, ap("times", cn(6), x)), cn(number)), square)
        for number in (9, 8)
    )

    assert [] == faults(
        part(problem, ap("eq", m, cn(9)), ("main", nine), shape="identity", unknowns="m", for_every="x")
    )
    assert [("line-differs", "line 1")] == faults(
        part(problem, ap("eq", m, cn(9)), ("main", eight), shape="identity", unknowns="m", for_every="x")
    )


def test_an_inequality_is_compared_with_its_ends() -> None:
    """x² < 9 is −3 < x < 3, not −3 ≤ x < 3."""
    problem = ap("lt", SQUARE, cn(9))
    right = ap("and", ap("lt", minus(cn(3)), x), ap("lt", x, cn(3)))
    wrong = ap("and", ap("leq", minus(cn(3)), x), ap("lt", x, cn(3)))

    assert [] == faults(part(problem, right), thorough=True)
    assert [("wrong-key", "")] == faults(part(problem, wrong))


def test_a_later_part_may_speak_of_an_earlier_answer() -> None:
    """First m with m − 4 = 0; then u = −m is u = −4."""
    first = part(ap("eq", ap("minus", m, cn(4)), ZERO), ap("eq", m, cn(4)), unknowns="m", label="a")
    follow = ap("eq", u, minus(m))
    second = part(ap("eq", ap("plus", u, cn(4)), ZERO), follow, ("main", follow), unknowns="u", label="b")
    wrong = part(ap("eq", ap("plus", u, cn(5)), ZERO), follow, unknowns="u", label="b")

    assert [] == faults(second, first)
    assert [("wrong-key", "part b")] == faults(wrong, first)
    assert [("cannot-tell", "part b")] == faults(part(follow, follow, unknowns="u", label="b"))


@pytest.mark.parametrize(
    "given",
    [
        part(shape="solve", unknowns="", key=KEY),
        part(shape="identity"),
        part(shape="rewrite"),
        part(shape="solve", for_every="u"),
        part(shape="integrate"),
    ],
)
def test_a_shape_that_does_not_fit_its_letters_is_told(given: Part) -> None:
    """Before anything is solved."""
    assert ("unclear-problem", "") in faults(given)


def test_a_line_of_a_rewriting_equals_the_expression_or_is_true() -> None:
    """(x + 1)² − 1 as x(x + 2)."""
    problem = ap("minus", ap("power", ap("plus", x, cn(1)), cn(2)), cn(1))
    key = ap("times", x, ap("plus", x, cn(2)))
    equal, unequal = ap("plus", SQUARE, ap("times", cn(2), x)), ap("plus", SQUARE, x)
    true, untrue = (
        ap("eq", ap("power", ap("plus", x, cn(1)), cn(2)), ap("plus", each, cn(1)))
        for each in (equal, unequal)
    )
    given = part(
        problem,
        key,
        ("main", equal),
        ("main", true),
        ("main", unequal),
        ("main", untrue),
        shape="rewrite",
        unknowns="",
    )

    assert [("line-differs", "line 3"), ("line-differs", "line 4")] == faults(given)
    assert [("wrong-key", "")] == faults(part(problem, unequal, shape="rewrite", unknowns=""))
