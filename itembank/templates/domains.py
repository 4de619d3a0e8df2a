"""The domains of unknowns: `unknowns: {w: w > 0}`, and whole numbers, `unknowns: {n: integer and n > 1}`."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from typing import Final

from itembank.expressions import tree
from itembank.expressions.vocabulary import WHOLE_NUMBERS
from itembank.templates.conditions import check_condition
from itembank.templates.reading import at
from itembank.templates.scope import Names, Scope
from itembank.templates.template import Expression
from itembank.yaml_source.nodes import Scalar

__all__ = ["read_domain"]

_WHOLE: Final = re.compile(
    r"\s*integer\s*(?:\Z|\band\b(?P<behind>.+))|(?P<before>.+)\band\s+integer\s*\Z", re.DOTALL
)
_OTHER_WORDS: Final = re.compile(
    r"\s*(?:an? )?(?:(?:positive|negative|whole|natural|int|integers|even|odd|non-negative)\b[ a-z-]*|[ℕℤNZ])\s*\Z",
    re.IGNORECASE,
)


def read_domain(
    scope: Scope,
    names: Names,
    path: Sequence[str | int],
    domains: Mapping[str, str | None],
    numeric: Collection[str],
) -> Expression | None:
    """What every solution must satisfy; None where any real number will do, or what is said is wrong.

    path: of the part, whose unknowns may be those of the whole template; numeric: the names that are numbers.
    """
    found: list[Expression] = []
    for name, text in domains.items():
        if text is not None:
            own = at(scope.root, (*path, "unknowns", name))
            source = own if isinstance(own, Scalar) else at(scope.root, ("unknowns", name))
            assert isinstance(source, Scalar)
            found += _of_unknown(scope, names, source, name, {*numeric, *domains})
    if not found:
        return None
    parts = tuple(
        each
        for one in found
        for each in (one.node.parts if isinstance(one.node, tree.And) and len(found) > 1 else (one.node,))
    )
    node = parts[0] if len(parts) == 1 else tree.And(parts)
    return Expression(node, " and ".join(one.text for one in found), found[0].source)


def _of_unknown(
    scope: Scope, names: Names, source: Scalar, unknown: str, valued: Collection[str]
) -> list[Expression]:
    said = _WHOLE.match(source.text)
    if said is None and _OTHER_WORDS.match(source.text):
        scope.findings.add(
            "kind-of-number",
            f"`{source.text.strip()}` is no domain",
            source.span,
            hint=f"write integer for the whole numbers, perhaps with more: integer and {unknown} > 0",
        )
        return []
    found: list[Expression] = []
    start, rest = 0, source.text
    if said is not None:
        node = tree.Relation((tree.Name(unknown), tree.Name(WHOLE_NUMBERS)), ("∈",))
        found.append(Expression(node, "integer", source))
        group = "behind" if said["behind"] is not None else "before"
        start, rest = max(said.start(group), 0), said[group] or ""
        if not rest.strip():
            return found
    written = scope.expression(source, start, rest, names)
    if written is None or not check_condition(written, names.problem, valued, scope.findings):
        return []
    return [*found, written]
