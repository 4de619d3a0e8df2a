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
    scope: Scope,
    names: Names,
    valued: Collection[str],
    shape: model.FigureShape | None,
    path: tuple[str | int, ...],
) -> FigureTemplate | None:
    """The picture at a path; None where there is none or something is wrong, which is told.

    valued: the names that have a value when the picture is drawn.
    """
    if shape is None:
        return None
    if shape.kind in model.OF_EXTENSIONS["figure"]:
        return _of_extension(scope, names, valued, shape, path)
    wrong = False
    if shape.of is None:
        scope.findings.add(
            "missing-key", "`of` is missing", at(scope.root, path).span, hint=f"add {_EXAMPLES[shape.kind]}"
        )
        return None
    if shape.with_ is not None:
        place = key_span(scope.root, (*path, "with"))
        scope.findings.add(
            "figure-key-not-used", "`with` belongs to figures of extensions", place, hint="take it out"
        )
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


def _of_extension(
    scope: Scope, names: Names, valued: Collection[str], shape: model.FigureShape, path: tuple[str | int, ...]
) -> FigureTemplate | None:
    """A picture of an extension's kind: each of its keys an expression with a value."""
    from itembank.figures.extension import figure_keys

    known = figure_keys(shape.kind)
    span = at(scope.root, path).span
    given = shape.with_ or {}
    for key in sorted(shape.model_fields_set - {"kind", "with_"}):
        scope.findings.add(
            "figure-key-not-used",
            f"a figure of the kind `{shape.kind}` has no `{key}`",
            key_span(scope.root, (*path, key)),
            hint=f"its keys stand below `with`: {', '.join(known)}",
        )
    for key in given:
        if key not in known:
            scope.findings.add(
                "unknown-key",
                f"`{key}` is no key of a figure of the kind `{shape.kind}`",
                key_span(scope.root, (*path, "with", key)),
                hint=f"known here: {', '.join(known)}",
            )
    found: list[Expression] = []
    for key, about in known.items():
        if key not in given:
            scope.findings.add("missing-key", f"`{key}` is missing", span, hint=f"{key}: {about}")
            continue
        number = scope.expression_at((*path, "with", key), names)
        if number is None:
            continue
        if tree.is_statement(number.node) or tree.has_plus_minus(number.node) or _letters(number, valued):
            scope.findings.add(
                "value-needed", f"`{key}` is one number, worked out from parameters and derived values",
                number.span(), hint=about,
            )  # fmt: skip
            continue
        found.append(number)
    if len(found) < len(known) or set(given) - set(known):
        return None
    return FigureTemplate(shape.kind, found[0], "", 0, (), span, tuple(found))


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
            "plus-minus-in-figure",
            "± has two values, so there are two pictures",
            of.span(),
            hint="write one of them",
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
