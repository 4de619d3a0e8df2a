"""Pictures of a template: whether what is to be drawn can be drawn, as far as it shows without values."""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

from itembank.expressions import tree
from itembank.templates import model
from itembank.templates.reading import at, key_span
from itembank.templates.scope import Names, Scope
from itembank.templates.template import Expression, FigureTemplate

__all__ = ["read_figure"]

LAST_STAGE: Final = 3
_OWN_KEYS: Final = {"stage": "area-model", "shows": "parabola"}
_EXAMPLES: Final = {
    "area-model": "of: x^2 + b*x",
    "parabola": "of: a*x^2 + b*x + c",
    "number-line": "of: x < -2 or x >= 5",
    "sign-table": "of: (x + 2)*(x - 5)",
}


def read_figure(
    scope: Scope, names: Names, valued: Collection[str], shape: model.FigureShape | None, path: tuple[str | int, ...]
) -> FigureTemplate | None:
    """The picture at a path; None where there is none or something is wrong, which is told.

    valued: the names that have a value when the picture is drawn.
    """
    if shape is None:
        return None
    wrong = False
    for key, kind in _OWN_KEYS.items():
        if key in shape.model_fields_set and shape.kind != kind:
            wrong = True
            scope.findings.add(
                "figure-key-not-used",
                f"`{key}` belongs to a figure of the kind `{kind}`",
                key_span(scope.root, (*path, key)),
                hint="take it out",
            )
    if shape.stage is not None and not 1 <= shape.stage <= LAST_STAGE:
        wrong = True
        scope.findings.add(
            "no-such-stage",
            f"an area model has the stages 1 to {LAST_STAGE}",
            at(scope.root, (*path, "stage")).span,
        )
    of = scope.expression_at((*path, "of"), names)
    if of is None or not _can_be_drawn(scope, shape.kind, of, valued) or wrong:
        return None
    (letter,) = _letters(of, valued)
    return FigureTemplate(
        shape.kind,
        of,
        letter,
        shape.stage or LAST_STAGE,
        tuple(dict.fromkeys(shape.shows)),
        at(scope.root, path).span,
    )


def _letters(of: Expression, valued: Collection[str]) -> list[str]:
    return [name for name in dict.fromkeys(tree.names(of.node)) if name not in valued]


def _can_be_drawn(scope: Scope, kind: str, of: Expression, valued: Collection[str]) -> bool:
    example = f"such as {_EXAMPLES[kind]}"
    if tree.is_statement(of.node) != (kind == "number-line"):
        needed = "a statement" if kind == "number-line" else "an expression"
        message = f"a figure of the kind `{kind}` is drawn of {needed}"
        scope.findings.add(f"{needed.split()[1]}-needed", message, of.span(), hint=example)
        return False
    if tree.has_plus_minus(of.node) and kind != "number-line":
        scope.findings.add(
            "plus-minus-in-figure", "± has two values, so there are two pictures", of.span(), hint="write one of them"
        )
        return False
    letters = _letters(of, valued)
    if len(letters) != 1:
        scope.findings.add(
            "one-letter-needed",
            f"a figure is drawn of one letter, here {'are ' + ', '.join(letters) if letters else 'is none'}",
            of.span(),
            hint=example,
        )
        return False
    inner = of.node.operand if isinstance(of.node, tree.Negation) else of.node
    if kind == "sign-table" and not isinstance(inner, tree.Product | tree.Power):
        scope.findings.add("product-needed", "a sign table is drawn of a product", of.span(), hint=example)
        return False
    return True
