"""`fraction-for-decimal`: the working ends in a fraction, 1071/5, where the boxes ask for a decimal, 214.20."""

from __future__ import annotations

from collections.abc import Iterator

from itembank.bank.lint.remark import Remark, Rule, Sample
from itembank.bank.lint.showing import sides, written_sides
from itembank.expressions import spelling, tree
from itembank.expressions.display import Display, Numeral, Over, Terms
from itembank.generator.lines import written_lines


def _look(sample: Sample) -> Iterator[Remark]:
    for number, part in enumerate(sample.template.parts):
        places = [blank.places for blank in part.response.blanks if blank.form == "decimal"]
        if not places or len(places) < len(part.response.blanks):
            continue
        for item in sample.items:
            lines = zip(
                written_lines(sample.template, item, number), item.parts[number].solution, strict=True
            )
            ends = [(line, made) for line, made in lines if line.maths is not None and made.maths is not None]
            if not ends or ends[-1][0].kind != "main":
                continue
            line, made = ends[-1]
            assert line.maths is not None
            assert made.maths is not None
            shown = [_is_fraction(side) for side in sides(made.maths.shape.display)]
            if any(shown):
                source = part.problem if line.maths.raw == tree.Name("problem") else line.maths
                written = list(written_sides(source.raw or source.node))
                start, end = written[shown.index(True)].place if len(written) == len(shown) else (0, 0)
                yield Remark(
                    line.maths.span(),
                    f"the boxes ask for a decimal, the working ends in a fraction: {spelling.terminal(made.maths)}",
                    f"write round({source.text[start:end] or '...'}, {places[0]}), after = where that is exact and "
                    "after ≈ where it rounds",
                )
                break


def _is_fraction(node: Display) -> bool:
    if isinstance(node, Terms) and len(node.terms) == 1:
        ((_, node),) = node.terms
    return (
        isinstance(node, Over)
        and isinstance(node.numerator, Numeral)
        and isinstance(node.denominator, Numeral)
    )


RULE = Rule("fraction-for-decimal", "common practice, no source", _look)
