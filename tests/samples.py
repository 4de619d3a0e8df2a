"""Hand-made mathematics and items for tests that need no template."""

from __future__ import annotations

from itembank.content import Content, Hole, Paragraph, Text, TextShape, of_text
from itembank.expressions import canonical, exact
from itembank.expressions.display import Maths
from itembank.expressions.expand import expanded
from itembank.expressions.parser import parse
from itembank.expressions.plan import make_plan
from itembank.items import (
    About,
    Address,
    Blank,
    ChoiceResponse,
    Claim,
    EntryResponse,
    Item,
    Mark,
    Option,
    Part,
    Problem,
    RecognisedEntry,
    Slip,
    SolutionLine,
)


def maths(text: str) -> Maths:
    """The displayed mathematics of an expression without parameters; `none` shows "no real solution"."""
    if text == "none":
        from itembank.expressions.layout import NoSolution, lay_out

        return Maths(lay_out(NoSolution(), 0))
    plan = make_plan(parse(text), (), lambda name: None, lambda node: expanded(node, ()))
    return plan.fill(tuple(canonical.exact(exact.number(leaf.source, {})) for leaf in plan.leaves))


def text(before: str, inner: str, after: str = "") -> Content:
    """One paragraph with one piece of mathematics."""
    return Content(TextShape((Paragraph((Text(before), Hole(0), Text(after))),), 1), (maths(inner),))


def _slip(name: str, answer: str) -> Slip:
    return Slip(name, maths(answer), of_text(f"Look again at {name}."), of_text(f"Reteach {name}."))


ABOUT = About(
    "Solve a monic quadratic by completing the square",
    "en",
    ("quadratics",),
    ("HSA-REI.B.4b",),
    "year-10",
    "use",
    "no",
    "3",
)


def choice_item() -> Item:
    """x^2 - 8x + 3 = 0, four options of surd pairs."""
    slips = (
        _slip("sign-of-half", "x = -4 ± sqrt(13)"),
        _slip("not-halved", "x = 8 ± sqrt(61)"),
        _slip("square-not-added", "none"),
    )
    options = (
        Option("A", slips[1].answer, False, slips[1]),
        Option("B", maths("x = 4 ± sqrt(13)"), True),
        Option("C", slips[0].answer, False, slips[0]),
        Option("D", slips[2].answer, False, slips[2]),
    )
    solution = (
        SolutionLine(
            "main",
            of_text("Move the constant to the right-hand side."),
            maths("x^2 - 8*x = -3"),
            (Mark("M"),),
        ),
        SolutionLine(
            "main",
            text("Add the square of half the coefficient of ", "x", "."),
            maths("x^2 - 8*x + 16 = keep(-3 + 16)"),
        ),
        SolutionLine("main", None, maths("(x - 4)^2 = 13"), (Mark("M"),)),
        SolutionLine("main", of_text("Take square roots, keeping both signs."), maths("x - 4 = ± sqrt(13)")),
        SolutionLine("main", None, maths("x = 4 ± sqrt(13)"), (Mark("A"),)),
    )
    part = Part(
        "",
        Problem("solve", maths("x^2 - 8*x + 3 = 0"), ("x",)),
        text("By completing the square, solve ", "x^2 - 8*x + 3 = 0", "."),
        ChoiceResponse(options),
        maths("x = 4 ± sqrt(13)"),
        slips,
        solution,
    )
    claims = (Claim(parse("irrational_roots(problem)"), "irrational_roots(problem)"),)
    return Item(
        "K7Q2M",
        Address("monic-complete-square", 1, 1, 17),
        ABOUT,
        (part,),
        {"h": 4, "k": 13},
        claims,
        "easier",
    )


def surd_entry_item() -> Item:
    """2x^2 - 6x + 1 = 0, answer (3 ± √7)/2 in boxes p, q, r, s."""
    wrong = _slip("divides-only-the-root", "x = 3 ± sqrt(7)/2")
    blank = Blank(
        "x", "surd", ("p", "q", "r", "s"), ((3, 1, 7, 2),), 1, pair=True, marks=(Mark("M"), Mark("A", 2))
    )
    response = EntryResponse(
        (blank,),
        3,
        of_text("Write the solutions in simplest surd form."),
        tick=True,
        recognised=(RecognisedEntry((((6, 1, 7, 2),),), wrong),),
    )
    solution = (
        SolutionLine("main", of_text("Use the formula."), maths("x = (6 ± sqrt(28))/4"), (Mark("M"),)),
        SolutionLine("aside", None, maths("sqrt(28) = 2*sqrt(7)")),
        SolutionLine("main", None, maths("x = (3 ± sqrt(7))/2"), (Mark("A", 2),)),
    )
    part = Part(
        "",
        Problem("solve", maths("2*x^2 - 6*x + 1 = 0"), ("x",)),
        text("Solve ", "2*x^2 - 6*x + 1 = 0", "."),
        response,
        maths("x = (3 ± sqrt(7))/2"),
        (wrong,),
        solution,
    )
    return Item("T4W9C", Address("non-monic-formula", 1, 1, 3), ABOUT, (part,), {"a": 2})


def integer_entry_item() -> Item:
    """x^2 - 2x - 15 = 0: two whole numbers in any order, with the tick for no real solution."""
    wrong = _slip("signs-swapped", "x = -5 or x = 3")
    blank = Blank("x", "integer", ("value",), ((-3,), (5,)), 2, any_order=True, marks=(Mark("M"), Mark("A")))
    response = EntryResponse(
        (blank,),
        2,
        of_text("Enter both solutions."),
        tick=True,
        recognised=(RecognisedEntry((((-5,), (3,)),), wrong),),
    )
    solution = (
        SolutionLine("main", of_text("Factorise."), maths("(x - 5)*(x + 3) = 0"), (Mark("M"),)),
        SolutionLine("main", None, maths("x = -3 or x = 5"), (Mark("A"),)),
    )
    part = Part(
        "",
        Problem("solve", maths("x^2 - 2*x - 15 = 0"), ("x",)),
        text("Solve ", "x^2 - 2*x - 15 = 0", "."),
        response,
        maths("x = -3 or x = 5"),
        (wrong,),
        solution,
    )
    return Item("B2H6R", Address("rational-roots", 1, 1, 4), ABOUT, (part,), {"p": 5, "q": -3})


def no_solution_entry_item() -> Item:
    """x^2 + 2x + 5 = 0: the tick is right."""
    blank = Blank("x", "integer", ("value",), (), 2, any_order=True, marks=(Mark("B"),))
    response = EntryResponse((blank,), 1, of_text("Enter both solutions."), tick=True, tick_is_right=True)
    solution = (
        SolutionLine("main", None, maths("(x + 1)^2 = -4")),
        SolutionLine("main", of_text("A square is never negative."), maths("none"), (Mark("B"),)),
    )
    part = Part(
        "",
        Problem("solve", maths("x^2 + 2*x + 5 = 0"), ("x",)),
        text("Solve ", "x^2 + 2*x + 5 = 0", "."),
        response,
        maths("none"),
        (),
        solution,
    )
    return Item("N8D3V", Address("no-real-roots", 1, 1, 9), ABOUT, (part,), {"c": 5})


def identity_item() -> Item:
    """x^2 - 6x + 11 = (x + p)^2 + q for every x: p and q, whole and fraction boxes."""
    wrong = _slip("sign-of-half", "p = 3 and q = 2")
    blanks = (
        Blank("p", "integer", ("value",), ((-3,),), 1, marks=(Mark("B"),)),
        Blank("q", "fraction", ("numerator", "denominator"), ((2, 1),), 1, marks=(Mark("A"),)),
    )
    response = EntryResponse(
        blanks,
        2,
        of_text("Write fractions in lowest terms."),
        recognised=(RecognisedEntry((((3,),), ((2, 1),)), wrong),),
    )
    problem = Problem("identity", maths("x^2 - 6*x + 11 = (x + p)^2 + q"), ("p", "q"), ("x",))
    solution = (
        SolutionLine("main", None, maths("x^2 - 6*x + 11 = (x - 3)^2 + 2"), (Mark("B"),)),
        SolutionLine("main", None, maths("p = -3 and q = 2"), (Mark("A"),)),
    )
    stem = Content(
        TextShape(
            (
                Paragraph(
                    (
                        Text("Find "),
                        Hole(0),
                        Text(" and "),
                        Hole(1),
                        Text(" with "),
                        Hole(2),
                        Text(" for every "),
                        Hole(3),
                        Text("."),
                    )
                ),
            ),
            4,
        ),
        (maths("p"), maths("q"), maths("x^2 - 6*x + 11 = (x + p)^2 + q"), maths("x")),
    )
    part = Part("", problem, stem, response, maths("p = -3 and q = 2"), (wrong,), solution)
    return Item("F5J7X", Address("vertex-form", 1, 1, 2), ABOUT, (part,), {"h": 3, "k": 2})


def words_item() -> Item:
    """The kind of roots of x^2 - 6x + 11 = 0, in words."""
    wrong = _slip("four-a-c-added", "D = 80")
    options = (
        Option("A", of_text("two different rational roots"), False),
        Option("B", of_text("two different irrational roots"), False, wrong),
        Option("C", of_text("one repeated root"), False),
        Option("D", of_text("no real roots"), True),
    )
    rows = tuple(
        parse(when) for when in ("D > 0 and is_square(D)", "D > 0 and not is_square(D)", "D = 0", "D < 0")
    )
    solution = (
        SolutionLine(
            "main", of_text("Work out the discriminant."), maths("D = keep((-6)^2 - 4*1*11)"), (Mark("M"),)
        ),
        SolutionLine("main", None, maths("D = -8"), (Mark("A"),)),
    )
    part = Part(
        "",
        Problem("solve", maths("D = discriminant(x^2 - 6*x + 11)"), ("D",)),
        text("What kind of roots does ", "x^2 - 6*x + 11 = 0", " have?"),
        ChoiceResponse(options, 1, True, rows),
        maths("D = -8"),
        (wrong,),
        solution,
    )
    return Item("C9P4L", Address("kind-of-roots", 1, 1, 5), ABOUT, (part,), {"a": 1})


def rewrite_item() -> Item:
    """Simplify √72: a single surd in boxes q and r."""
    blank = Blank("", "surd", ("q", "r"), ((6, 2),), 1, marks=(Mark("M"), Mark("A")))
    solution = (
        SolutionLine("main", None, maths("sqrt(36)*sqrt(2)"), (Mark("M"),)),
        SolutionLine("main", None, maths("6*sqrt(2)"), (Mark("A"),)),
    )
    part = Part(
        "",
        Problem("rewrite", maths("sqrt(72)")),
        text("Simplify ", "sqrt(72)", "."),
        EntryResponse((blank,), 2, of_text("Write the simplest surd form.")),
        maths("6*sqrt(2)"),
        (),
        solution,
    )
    return Item("G3S8Z", Address("simplify-surd", 1, 1, 8), ABOUT, (part,), {"n": 72})


ALL = (
    choice_item,
    surd_entry_item,
    integer_entry_item,
    no_solution_entry_item,
    identity_item,
    words_item,
    rewrite_item,
)
