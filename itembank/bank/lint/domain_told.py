"""`domain-not-told`: the problem has solutions that the template's domain leaves out, and the stem says nothing of it.

A pupil who gives all solutions is then marked wrong. Passed over: stories, and answers in a unit, whose lengths, prices
and times are positive by nature.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from itembank.bank.lint.context import STORY
from itembank.bank.lint.remark import Remark, Rule, Sample
from itembank.bank.lint.showing import asks
from itembank.errors import DomainError
from itembank.expressions import tree
from itembank.expressions.spelling import terminal
from itembank.items import Part
from itembank.proof.answers import problem_identity
from itembank.proof.solver import CannotDecide
from itembank.templates.template import SUBJECT, Expression, PartTemplate

_WORDS = re.compile(
    r"\b(positive|negative|integers?|whole|natural|larger|largest|greater|greatest|smaller|smallest|less|above|below"
    r"|between|acute|terms?|Glied\w*|términos?|positiv\w*|negativ\w*|enter[oa]s?|natural(es)?|mayor(es)?|menor(es)?|ganze[nr]?|natürliche[nr]?"
    r"|größer\w*|größte\w*|kleiner\w*|kleinste\w*)\b",
    re.I,
)

_SIZES = re.compile(
    r"\b(radi(us|i|o)|diameters?|lengths?|widths?|heights?|sides?|distances?|areas?|perimeters?|volumes?|speeds?|times?"
    r"|ages?|prices?|masse?s?|longitud(es)?|anchura|altura|lados?|distancias?|tiempos?|velocidad(es)?|edad(es)?|precios?"
    r"|Radien|Durchmesser|Längen?|Breiten?|Höhen?|Seiten?|Abst(and|ände)|Geschwindigkeit(en)?|Alter|Preise?)\b",
    re.I,
)
"""What is positive by nature."""


def _look(sample: Sample) -> Iterator[Remark]:
    for number, part in enumerate(sample.template.parts):
        if part.domain is None or part.shape == SUBJECT or _is_told(part):
            continue
        for item in sample.items:
            if _leaves_out(item.parts[number]):
                domain = item.parts[number].problem.domain
                assert domain is not None
                yield Remark(
                    part.stem.source.span,
                    f"{terminal(item.parts[number].problem.statement)} has solutions for which {terminal(domain)} does "
                    "not hold, and the stem does not say that they do not count",
                    f"say it in the stem, as in: where {terminal(domain)}",
                )
                break


def _is_told(part: PartTemplate) -> bool:
    """Whether the stem speaks of the domain, in words or in a formula with its letter, or tells a story."""
    unknowns, asked = set(part.unknowns), list(tree.walk(part.problem.node))
    in_formulas = any(
        isinstance(node, tree.Relation)
        and node.operators != ("=",)
        and node not in asked
        and any(isinstance(side, tree.Name) and side.name in unknowns for side in node.operands)
        for hole in part.stem.holes
        if isinstance(hole, Expression)
        for node in tree.walk(hole.node)
    )
    has_unit = any(blank.unit for blank in part.response.blanks)
    words = asks(part)
    named = _WORDS.search(words) or _SIZES.search(words)
    return in_formulas or has_unit or named is not None or len(words.split()) >= STORY


def _leaves_out(part: Part) -> bool:
    """Whether the problem has solutions outside the domain."""
    try:
        return problem_identity(
            replace(part, problem=replace(part.problem, domain=None))
        ) != problem_identity(part)
    except (CannotDecide, DomainError):
        return False


RULE = Rule("domain-not-told", "common practice, no source", _look)
