"""Items and texts for tests of the printed side that `samples` has none of: hard texts, long lines, parts.

All are from the evening algebra course of Saltmarsh College.
"""

from __future__ import annotations

from dataclasses import replace

from itembank.content import (
    Block,
    Content,
    Emphasis,
    Hole,
    Inline,
    LineBreak,
    Listing,
    Paragraph,
    Table,
    Text,
    TextShape,
    of_text,
)
from itembank.items import ChoiceResponse, Item, Option, Part, Slip, SolutionLine
from itembank.writers.paper import PaperFacts
from tests import samples

FACTS = PaperFacts(
    "Completing the square",
    "Saltmarsh College",
    "CC BY 4.0",
    instructions=("Show your working in the space under each question.",),
    calculator="no",
)

HARD_TEXTS = (
    r"\input{secret} \write18{ls} }}{{ $ & % # _ ^ ~ \\ \end{document} ^^M ^^5c \par",
    "a--b---c ''q'' ``r'' ,, << >> ?` !` \"quote\" -–- ’’ ‘‘ !‘",
    "<script>alert('x')</script> &amp; <!-- \"x\" ]]> {{ 7 * 7 }} << 7 >> <% x %>",
    "שלום عليكم \u202eabc\u202c 🎉👩\u200d🏫 日本語",
    "x" * 300,
    "\x00\x01\x1b[31m\x7f\x9f\t\n\r\u2028\ud800\uffff",
    "éèëñçąęőűžš ấ ệ ḍ Å ﬁ ① ⅓ ½ x² x⁻¹ aₙ ℝ ß ẞ Ł ĳ ά Ω й e\u0301\u0302\u0303 \u0301a",
    "[x] *y (z",
    "",
    r"\catcode`\%=12 \csname end\endcsname \expandafter{{{ \openout1=x \special{x} \directlua{os.exit()}",
    "=1+1",
    "@SUM(A1) -2 +3",
)


def content(*blocks: Block) -> Content:
    """Blocks without holes."""
    return Content(TextShape(blocks, 0), ())


def paragraph(*inlines: Inline) -> Paragraph:
    """A paragraph."""
    return Paragraph(inlines)


def _nested(depth: int) -> Block:
    if not depth:
        return paragraph(Text("the innermost text"))
    item = (
        paragraph(Text(f"level {depth}, whose words go on until the line has to break")),
        _nested(depth - 1),
    )
    return Listing((item, (paragraph(Text("short")),)), None if depth % 2 else 3)


def _wide_table() -> Table:
    cell: tuple[Inline, ...] = (
        Text("some words"),
        LineBreak(),
        Emphasis((Text("x"), LineBreak(), Text("y")), True),
    )
    header = tuple((Text(f"heading number {column}"),) for column in range(6))
    return Table(header, ((cell,) * 6, (cell,) * 4), ("left", "right", "center", "", "", ""))


def with_stem(stem: Content, code: str = "W5R2S") -> Item:
    """The sample of options in words, with another stem."""
    item = samples.words_item()
    return replace(item, code=code, parts=(replace(item.parts[0], stem=stem),))


def with_options(*contents: Content) -> Item:
    """The sample of options in words, with other words."""
    item = samples.words_item()
    response = item.parts[0].response
    assert isinstance(response, ChoiceResponse)
    options = tuple(
        Option(old.identifier, new, old.is_key, old.slip)
        for old, new in zip(response.options, contents, strict=True)
    )
    return replace(item, parts=(replace(item.parts[0], response=replace(response, options=options)),))


def hard_item() -> Item:
    """Every hard text, deep lists and a wide table in one stem; the hard texts again as lines of the solution and as
    what pupils and teachers are told of slips."""
    stem = Content(
        TextShape(
            (
                *(paragraph(Text(text)) for text in HARD_TEXTS),
                _nested(9),
                _wide_table(),
                paragraph(Text("a"), LineBreak(), Emphasis((Text("b "), Emphasis((Hole(0), Hole(1)), True)))),
            ),
            2,
        ),
        (samples.maths("x^2/3"), "50 % & {more}"),
    )
    item = with_stem(stem, code=r"\A_%{")
    said = tuple(SolutionLine("main", of_text(text), None) for text in HARD_TEXTS)
    part = item.parts[0]
    slips = tuple(
        Slip(f"{part.slips[0].name}-{number}", part.slips[0].answer, of_text(text), of_text(text))
        for number, text in enumerate(HARD_TEXTS)
    )
    return replace(
        item, parts=(replace(part, solution=(*part.solution, *said), slips=(*part.slips, *slips)),)
    )


LONG_LINE = (
    "(x+1)^2*(x+2)^3 + 12345678*x^5 - 123456789*x^4 + 123456789*x^3 - 123456789*x^2 + 123456789*x - 9"
    " = (x+1)^2*(x+2)^3 + 12345678*x^5 - 123456789*x^4 + 123456789*x^3 - 123456789*x^2 + 1 = 3"
)


def parts_item() -> Item:
    """Three parts; the first has a line that is wider than a page, one that is given up and side working."""
    choice, entry = samples.words_item().parts[0], samples.surd_entry_item().parts[0]
    long = samples.maths(LONG_LINE)
    first: Part = replace(
        choice,
        label="a",
        stem=samples.text("Show that ", "x^2 = 9", "."),
        slips=(Slip("four-a-c-added", long, None, of_text("Reteach the discriminant.")),),
        solution=(
            SolutionLine("main", of_text("Long words " * 20), long, choice.solution[0].marks * 4),
            SolutionLine("rejects", of_text("Not in the domain."), samples.maths("x = -3")),
            SolutionLine("aside", None, samples.maths("9 = keep(3^2)")),
        ),
    )
    item = samples.words_item()
    return replace(item, code="P3R7T", parts=(first, replace(entry, label="b"), replace(choice, label="c")))


def mixed_options_item() -> Item:
    """Options of a table, a list, two paragraphs and a line that is too long for a column."""
    small = Table(((Text("x"),), (Text("y"),)), (((Text("1"),), (Text("2"),)),), ("right", "center"))
    return with_options(
        content(small),
        content(Listing(((paragraph(Text("one")),), (paragraph(Text("two")),)), 1)),
        content(paragraph(Text("first")), paragraph(Text("second"))),
        of_text("a line that is too long for half a page, let alone for a quarter of it, " * 2),
    )


HARD = (hard_item, parts_item, mixed_options_item)
