"""What is proved of a template once, for all its values together, with the parameters as symbols."""

from __future__ import annotations

from fractions import Fraction

from itembank.expressions import tree
from itembank.generator.changed import slip_node
from itembank.generator.compiler import main_letter
from itembank.templates.template import SUBJECT, PartTemplate, Template
from itembank.verdicts import Proved, Refuted


def for_all_values(template: Template) -> list[str]:
    """Sentences about key, lines and slips that hold for every item at once; loads sympy.

    What is not decided here is said to be proved item by item, which it is anyway.
    """
    told: list[str] = []
    known: dict[str, tree.Node] = {}
    for part in template.parts:
        label = f"({part.label}) " if part.label else ""
        told += [label + sentence for sentence in _part(template, part, known)]
        if part.shape == SUBJECT or part.key is None:
            continue
        if isinstance(part.key.node, tree.And | tree.Relation):
            from itembank.generator.answers import explicit_values

            for name, value in (explicit_values(part.key.node, part.unknowns) or {}).items():
                known[name] = tree.substitute(value, known)
    return told


def _part(template: Template, part: PartTemplate, known: dict[str, tree.Node]) -> list[str]:
    from itembank.proof.template_proof import InSymbols, Line, prove_part
    from itembank.proof.template_subject import prove_formula

    earlier = {name: node for name, node in known.items() if name not in part.unknowns}

    def read(node: tree.Node) -> tree.Node:
        return tree.substitute(node, earlier)

    problem, key = read(part.problem.node), read(part.key.node) if part.key else None
    wrong = [read(slip_node(template, slip)) for slip in part.slips]
    solution = [
        Line(line.kind, read(line.maths.node) if line.maths and line.when is None else None)
        for line in part.solution
    ]
    values = {
        p.name: tuple(Fraction(v) for v in p.values if v not in p.left_out)
        for p in template.numeric_parameters
    }
    derived = {d.name: d.expression.node for d in template.derived}
    asked = InSymbols(
        problem, key, wrong, solution, part.unknowns, part.for_every, values, derived,
        main_letter(template, part), part.domain is not None,
    )  # fmt: skip
    claims = prove_formula(asked) if part.shape == SUBJECT and key is not None else prove_part(asked)
    told = []
    # a line that names a letter says nothing that could be wrong
    lines = [claim for claim in claims if claim.subject == "line" and solution[claim.place].kind != "let"]
    proved = sum(isinstance(claim.verdict, Proved) for claim in lines)
    for claim in claims:
        if claim.subject == "key":
            told.append(f"key: {_verdict(claim.verdict)}")
        elif claim.subject == "slip":
            name = part.slips[claim.place].name
            if isinstance(claim.verdict, Proved):
                when = (
                    f"equals the key only where {claim.except_when}"
                    if claim.except_when
                    else "never equals the key"
                )
                told.append(f"slip {name}: {when}")
            else:
                told.append(f"slip {name}: {_verdict(claim.verdict)}")
    if lines:
        told.append(f"solution: {_lines(proved, len(lines))}")
    return told


def _lines(proved: int, number: int) -> str:
    """How many lines are proved for all values; every line is proved in each item anyway.

    >>> _lines(4, 4), _lines(0, 2)
    ('4 of 4 lines proved for all values', 'proved item by item')
    >>> _lines(4, 5)
    '4 of 5 lines proved for all values, the other item by item'
    """
    if not proved:
        return "proved item by item"
    others = ["", ", the other item by item", ", the others item by item"][min(number - proved, 2)]
    return f"{proved} of {number} lines proved for all values{others}"


def _verdict(verdict: object) -> str:
    match verdict:
        case Proved(witness):
            return f"proved {witness}"
        case Refuted(counterexample):
            return f"not for all values: {counterexample}"
        case _:
            return "proved item by item"
