"""What to do about two assignments that make the same question."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from itembank.expressions import tree
from itembank.templates.template import Expression, PartTemplate, Template

__all__ = ["remedy"]

_USUAL = "show every parameter in the stem, or constrain one of them (p < q)"


def remedy(template: Template, apart: Sequence[str] = ()) -> str:
    """The hint; where a stem works numbers out, so that unequal ones look the same, it names what would hold them.

    apart: the parameters in which the two assignments differ.
    """
    if len(apart) == 1 and not _is_used(template, apart[0]):
        return f"nothing uses `{apart[0]}`, in which alone they differ: take it out"
    beside = any(part.response.kind in {"order", "match"} or part.response.words for part in template.parts)
    if not beside and not any(
        isinstance(hole, Expression) for part in template.parts for hole in part.stem.holes
    ):
        return "the stem shows no mathematics: what stands between two $ is shown, as in: Solve $problem$."
    if beside:
        return (
            f"equal numbers look the same: constrain the parameters, as in gcd(p, q) = 1 for p/q; or {_USUAL}"
        )
    for part in template.parts:
        for text in _worked_out(part, template.letters):
            return f"the stem shows the value of `{text}`: write keep({text}) to show it as it stands; or {_USUAL}"
    return (
        f"they differ in {apart[0]} alone: show it in the stem, or constrain it"
        if len(apart) == 1
        else _USUAL
    )


def _is_used(template: Template, name: str) -> bool:
    """Whether anything but a range of values speaks of a parameter."""
    written = [*template.constraints, *template.guarantees, *(each.expression for each in template.derived)]
    for part in template.parts:
        written += [part.problem, *(hole for hole in part.stem.holes if isinstance(hole, Expression))]
        written += [part.key] if isinstance(part.key, Expression) else []
    return any(name in tree.names(each.node) for each in written)


def _worked_out(part: PartTemplate, letters: tuple[str, ...]) -> Iterator[str]:
    """Powers, products and quotients of numbers alone that the stem shows: only their value is seen."""
    unknown = {*part.unknowns, *part.for_every, *letters}
    for hole in part.stem.holes:
        if not isinstance(hole, Expression):
            continue
        shown = part.problem if hole.raw == tree.Name("problem") else hole
        for node in _sides(shown.raw or shown.node):
            if isinstance(node, tree.Power | tree.Product | tree.Quotient) and not unknown & set(
                tree.names(node)
            ):
                start, end = node.place
                yield shown.text[start:end]


def _sides(node: tree.Node) -> Iterator[tree.Node]:
    """An expression, or the sides of each relation of a statement."""
    match node:
        case tree.Relation(operands):
            yield from operands
        case tree.And(parts) | tree.Or(parts):
            for each in parts:
                yield from _sides(each)
        case _:
            yield node
