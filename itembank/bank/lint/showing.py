"""What of an item a reader sees, in the forms that the rules compare."""

from __future__ import annotations

from collections.abc import Iterator

from itembank.content import Content, Emphasis, Hole, Inline, Listing, Paragraph, Text
from itembank.expressions import spelling, tree
from itembank.expressions.display import (
    Compared,
    Display,
    Factors,
    Joined,
    Maths,
    Nothing,
    Numeral,
    Over,
    Root,
    Shape,
    Terms,
    parts,
)
from itembank.items import ChoiceResponse, Item, Option
from itembank.templates.template import PartTemplate

NO_SOLUTION = "no solution"


def choices(item: Item) -> Iterator[tuple[int, ChoiceResponse]]:
    """The choices among an item's parts, each with the number of its part."""
    for number, part in enumerate(item.parts):
        if isinstance(part.response, ChoiceResponse):
            yield number, part.response


def seen(content: Maths | Content) -> str:
    """A text or mathematics as it is read on one line."""
    if isinstance(content, Maths):
        return spelling.terminal(content)
    return " ".join(_words(content))


def _words(content: Content) -> Iterator[str]:
    def inline(node: Inline) -> str:
        match node:
            case Text(text):
                return text
            case Emphasis(inner):
                return "".join(map(inline, inner))
            case Hole(index):
                filling = content.fillings[index]
                return filling if isinstance(filling, str) else spelling.terminal(filling)
            case _:
                return " "

    for block in content.shape.blocks:
        match block:
            case Paragraph(inlines):
                yield "".join(map(inline, inlines))
            case Listing(items):
                for entry in items:
                    yield " ".join("".join(map(inline, b.inlines)) for b in entry if isinstance(b, Paragraph))
            case _:
                for row in (block.header, *block.rows):
                    yield " ".join("".join(map(inline, cell)) for cell in row)


def looks_of(option: Option) -> tuple[str, ...]:
    """The kind of thing an option is: how many values, none, with a root, with a fraction bar."""
    if not isinstance(option.content, Maths):
        return ()
    node = option.content.shape.display
    return tuple(
        word
        for word, holds in (
            (NO_SOLUTION, has(node, Nothing)),
            ("a root", has(node, Root)),
            ("a fraction", has(node, Over)),
        )
        if holds
    )


def number_of_values(option: Option) -> int:
    """How many values an option in mathematics joins by `or`; 2 for a ±, 0 for none."""
    if not isinstance(option.content, Maths):
        return 1
    node = option.content.shape.display
    if isinstance(node, Nothing):
        return 0
    if isinstance(node, Joined) and node.word == "or":
        return len(node.parts)
    return 2 if "±" in spelling.terminal(option.content) else 1


def lists_whole_numbers(response: ChoiceResponse) -> bool:
    """Whether options are lists of whole numbers, such as all that an inequality holds for."""
    shown = [option.content.shape.display for option in response.options if isinstance(option.content, Maths)]
    return any(isinstance(node, Joined) and node.listed for node in shown)


def pieces(maths: Maths) -> tuple[str, ...]:
    """What a statement joins by `or`, each piece as read on one line, a ± as two; () for no solution."""
    node = maths.shape.display
    if isinstance(node, Nothing):
        return ()
    each = node.parts if isinstance(node, Joined) and node.word == "or" else (node,)
    joined = [spelling.terminal(Maths(Shape(part, maths.shape.holes), maths.numbers)) for part in each]
    return tuple(
        piece.replace("±", sign).replace("= + ", "= ").replace("= +", "= ")
        for piece in joined
        for sign in ("+\u2212" if "±" in piece else "+")
    )


def has(node: Display, kind: type) -> bool:
    """Whether a kind of node is shown anywhere."""
    return isinstance(node, kind) or any(has(part, kind) for part in parts(node))


def numerals(maths: Maths) -> Iterator[int]:
    """The whole numbers that are shown."""
    yield from (number for number in maths.numbers if isinstance(number, int))
    yield from (int(text) for text in _fixed(maths.shape.display) if text.isdigit())


def _fixed(node: Display) -> Iterator[str]:
    if isinstance(node, Numeral) and node.hole < 0:
        yield node.text
    for part in parts(node):
        yield from _fixed(part)


def denominators(maths: Maths) -> Iterator[int]:
    """The whole numbers that are shown below a fraction bar."""

    def below(node: Display) -> Iterator[int]:
        if isinstance(node, Over):
            yield from _whole(node.denominator, maths)
        for part in parts(node):
            yield from below(part)

    return below(maths.shape.display)


def _whole(node: Display, maths: Maths) -> Iterator[int]:
    if isinstance(node, Numeral):
        held = maths.numbers[node.hole] if node.hole >= 0 else int(node.text) if node.text.isdigit() else None
        if isinstance(held, int):
            yield held
    for part in parts(node):
        yield from _whole(part, maths)


def signs(maths: Maths) -> Iterator[str]:
    """Of each value that a letter is said to be: `positive`, `negative`, or `` for 0 and what only arithmetic tells."""
    node = maths.shape.display
    for relation in node.parts if isinstance(node, Joined) else (node,):
        if isinstance(relation, Compared) and relation.signs == ("=",):
            yield _sign(relation.operands[1], maths)
        else:
            yield ""


def _sign(node: Display, maths: Maths) -> str:
    sign = "+"
    if isinstance(node, Terms):
        if len(node.terms) != 1:
            return ""
        ((sign, node),) = node.terms
    if sign == "±" or not any(_whole(node, maths)):
        return ""
    inner = node.numerator if isinstance(node, Over) else node
    simple = isinstance(inner, Numeral | Root) or (
        isinstance(inner, Factors) and all(isinstance(factor, Numeral | Root) for factor in inner.factors)
    )
    return "" if not simple else "negative" if sign == "-" else "positive"


def is_statement(maths: Maths) -> bool:
    """Whether a relation is shown."""
    return isinstance(maths.shape.display, Compared | Joined | Nothing)


def asks(part: PartTemplate) -> str:
    """The author's text of a stem, mathematics left out."""
    # money is \$ and opens no mathematics
    pieces = part.stem.source.text.replace("\\$", " ").split("$")
    return " ".join(pieces[::2])


def written_sides(node: tree.Node) -> Iterator[tree.Node]:
    """The sides of what a statement joins, as its author wrote them."""
    match node:
        case tree.And(parts) | tree.Or(parts):
            for each in parts:
                yield from written_sides(each)
        case tree.Relation(operands):
            yield from operands
        case _:
            yield node


def sides(node: Display) -> Iterator[Display]:
    """The sides of what a displayed statement joins."""
    match node:
        case Joined():
            for each in node.parts:
                yield from sides(each)
        case Compared():
            yield from node.operands
        case _:
            yield node
