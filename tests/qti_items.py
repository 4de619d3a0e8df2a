"""Hand-made items of kinds that `samples` has none of, for tests of the writers of QTI.

All are from the evening algebra course of Saltmarsh College.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from itembank.content import (
    Content,
    Emphasis,
    Hole,
    LineBreak,
    Listing,
    Paragraph,
    Table,
    Text,
    TextShape,
    of_text,
)  # fmt: skip
from itembank.expressions.display import Decimal
from itembank.figures import AreaModel
from itembank.items import (
    About,
    Address,
    Blank,
    BoxValue,
    ChoiceResponse,
    EntryResponse,
    Item,
    Mark,
    Option,
    Part,
    Problem,
    RecognisedEntry,
    Slip,
    SolutionLine,
)  # fmt: skip
from tests.samples import maths, text

ABOUT = About(
    "Evening algebra",
    "en",
    ("quadratics", "surds"),
    ("HSA-REI.B.4b", "HSN-RN.A.2"),
    "year-10",
    "use",
    "no",
    "3",
)


def decimal(value: str, places: int) -> Decimal:
    """A decimal by its digits."""
    return Decimal(Fraction(value), places)


def slip(
    name: str, answer: str, pupil: str | None = "Look at it again.", teacher: str | None = "Reteach it."
) -> Slip:
    """A slip with plain sentences."""
    return Slip(name, maths(answer), of_text(pupil) if pupil else None, of_text(teacher) if teacher else None)


def entry_item(
    statement: str, key: str, blank: Blank, *others: Blank, tick: bool = False, tick_is_right: bool = False,
    recognised: tuple[RecognisedEntry, ...] = (), unknowns: tuple[str, ...] = ("x",), code: str = "D5L9R",
) -> Item:  # fmt: skip
    """One part with boxes."""
    blanks = (blank, *others)
    marks = sum(each.worth for each in blanks)
    response = EntryResponse(blanks, marks, of_text("Fill the boxes."), tick, tick_is_right, recognised)
    solution = (SolutionLine("main", of_text("Work it out."), maths(key), (Mark("A", marks),)),)
    shape = "solve" if unknowns else "rewrite"
    part = Part(
        "", Problem(shape, maths(statement), unknowns), text("Take ", statement, "."), response, maths(key),
        tuple(entry.slip for entry in recognised), solution,
    )  # fmt: skip
    return Item(code, Address("evening-algebra", 1, 1, 1), ABOUT, (part,), {})


def surd(
    values: Sequence[tuple[BoxValue, ...]], roles: str = "pqrs", *, pair: bool = True, worth: int = 3
) -> Blank:
    """A blank of surds."""
    return Blank("x", "surd", tuple(roles), tuple(values), 1, pair=pair, marks=(Mark("A", worth),))


def whole(unknown: str, *values: int, slots: int = 0, worth: int = 2) -> Blank:
    """A blank of whole numbers in any order."""
    boxes = tuple((value,) for value in values)
    return Blank(
        unknown, "integer", ("value",), boxes, slots or len(values), any_order=True, marks=(Mark("A", worth),)
    )


def single_surd_item() -> Item:
    """x with (2x - 1)^2 = 5 and x < 0: one value, (1 - √5)/2."""
    item = entry_item("(2*x - 1)^2 = 5", "x = (1 - sqrt(5))/2", surd([(1, -1, 5, 2)], pair=False))
    (part,) = item.parts
    return replace(item, parts=(replace(part, problem=replace(part.problem, domain=maths("x < 0"))),))


def whole_surd_item() -> Item:
    """x^2 - 8x + 3 = 0, 4 ± √13, with an s box that holds 1."""
    return entry_item("x^2 - 8*x + 3 = 0", "x = 4 ± sqrt(13)", surd([(4, 1, 13, 1)]), code="D5L9S")


def bare_surd_item() -> Item:
    """x^2 = 12: ± 2√3 in two boxes."""
    return entry_item("x^2 = 12", "x = ± 2*sqrt(3)", surd([(2, 3)], "qr", worth=1), code="D5L9T")


def fractions_item() -> Item:
    """6x^2 + x - 1 = 0: 1/3 and -1/2 in any order, with a slip's entry."""
    blank = Blank(
        "x",
        "fraction",
        ("numerator", "denominator"),
        ((-1, 2), (1, 3)),
        2,
        any_order=True,
        marks=(Mark("M"), Mark("A")),
    )
    wrong = RecognisedEntry((((1, 2), (-1, 3)),), slip("signs-swapped", "x = 1/2 or x = -1/3"))
    return entry_item(
        "6*x^2 + x - 1 = 0", "x = -1/2 or x = 1/3", blank, tick=True, recognised=(wrong,), code="F5L9V"
    )


def repeated_root_item() -> Item:
    """x^2 - 6x + 9 = 0: one root, two boxes."""
    return entry_item("x^2 - 6*x + 9 = 0", "x = 3", whole("x", 3, slots=2), code="R5L9W")


def decimals_item() -> Item:
    """x^2 - 2x - 1 = 0 to two places: -0.41 and 2.41, each within 0.005, in any order."""
    blank = Blank(
        "x", "decimal", ("value",), ((decimal("-0.41", 2),), (decimal("2.41", 2),)), 2, any_order=True, places=2,
        tolerance=decimal("0.005", 3), marks=(Mark("A", 2),),
    )  # fmt: skip
    return entry_item("x^2 - 2*x - 1 = 0", "x = 1 ± sqrt(2)", blank, code="M5L9X")


def plain_decimal_item() -> Item:
    """4x = 5: 1.25, no tolerance."""
    blank = Blank(
        "x", "decimal", ("value",), ((decimal("1.25", 2),),), 1, places=2, marks=(Mark("A", 1, True),)
    )
    return entry_item("4*x = 5", "x = 5/4", blank, code="M5L9Z")


def in_order_item() -> Item:
    """x^2 - 5x + 6 = 0, the smaller solution first."""
    blank = replace(whole("x", 2, 3), any_order=False)
    return entry_item("x^2 - 5*x + 6 = 0", "x = 2 or x = 3", blank, code="V5L9B")


def two_part_item() -> Item:
    """A choice with a stem of every kind of text, then two boxes; a sentence is missing here and there."""
    sign, other = (
        slip("sign-of-half", "x = -3", None),
        slip("not-halved", "x = 6", "Halve <it> & square it.", None),
    )
    options = (
        Option("A", sign.answer, False, sign),
        Option("B", other.answer, False, other),
        Option("C", maths("x = 3"), True),
    )
    table = Table(
        ((Text("x"),), (Text("value"),)),
        (((Text("0"),), (Hole(0),)), ((Text("3"),), (Text("0"),))),
        ("center", ""),
    )
    nested = Listing(
        ((Paragraph((Text("first"),)),), (Paragraph((Text("second"),)), Paragraph((Text("more"),)))), 2
    )
    stem = Content(
        TextShape(
            (
                Paragraph(
                    (
                        Text('The "yard" & <field> '), Emphasis((Text("of "), Hole(1)), strong=True),
                        LineBreak(), Text("100 %"),
                    )
                ),
                table, nested, Listing(((Paragraph((Emphasis((Text("bullet"),)),)),),)),
            ),
            2,
        ),
        (maths("9"), "Saltmarsh & Sons \x07"),
    )  # fmt: skip
    first = Part(
        "a", Problem("solve", maths("x^2 - 6*x + 9 = 0"), ("x",), domain=maths("x > 0")), stem,
        ChoiceResponse(options, 2),
        maths("x = 3"), (sign, other),
        (SolutionLine("main", None, maths("(x - 3)^2 = 0"), (Mark("M"), Mark("A", 1, True))),),
    )  # fmt: skip
    second = entry_item(
        "u = 2*x and v = 1/2", "u = 6 and v = 1/2", whole("u", 6, worth=1), unknowns=("u", "v")
    ).parts[0]
    fraction = Blank("v", "fraction", ("numerator", "denominator"), ((1, 2),), 1, marks=(Mark("B", 2),))
    assert isinstance(second.response, EntryResponse)
    wrong = RecognisedEntry((((12,),), ((1, 2),)), slip("doubled-twice", "u = 12 and v = 1/2", None))
    response = replace(
        second.response, blanks=(*second.response.blanks, fraction), marks=3, recognised=(wrong,), tick=True
    )
    solution = (SolutionLine("main", None, maths("u = 6 and v = 1/2"), (Mark("A"), Mark("B", 2))),)
    second = replace(second, label="b", response=response, solution=solution)
    return Item("W6T2D", Address("evening-algebra", 1, 1, 2), ABOUT, (first, second), {})


def pictured_item() -> Item:
    """x^2 - 8x + 12 = 0 with the area model at the stem and at two lines."""
    item = entry_item("x^2 - 8*x + 12 = 0", "x = 2 or x = 6", whole("x", 2, 6), code="P3C7R")
    lines = (
        SolutionLine("main", None, maths("x^2 - 8*x = -12"), (Mark("M"),), AreaModel("x", Fraction(-8), 2)),
        SolutionLine("main", None, maths("(x - 4)^2 = 4"), (), AreaModel("x", Fraction(-8), 3)),
        SolutionLine("main", None, maths("x = 2 or x = 6"), (Mark("A"),)),
    )
    return replace(
        item, parts=(replace(item.parts[0], solution=lines, figure=AreaModel("x", Fraction(-8), 1)),)
    )


MORE = (
    single_surd_item, whole_surd_item, bare_surd_item, fractions_item, repeated_root_item, decimals_item,
    plain_decimal_item, in_order_item, two_part_item, pictured_item,
)  # fmt: skip
